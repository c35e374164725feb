"""The nouns, the events, and the states folded from them."""

from scionary.book.models.bench import BenchDay
from scionary.book.models.calendar import CalendarFeed
from scionary.book.models.cultivar import Cultivar
from scionary.book.models.device import CodeLease, Device
from scionary.book.models.dome import Dome, DomeState
from scionary.book.models.event import Event, EventSubject, KeptAside, Subject
from scionary.book.models.fold_rules import FoldRules
from scionary.book.models.job import Job
from scionary.book.models.method import Method
from scionary.book.models.noun import Noun
from scionary.book.models.nursery import Nursery
from scionary.book.models.other_name import OtherName
from scionary.book.models.photo import Photo
from scionary.book.models.plant import Graft, Plant
from scionary.book.models.printed import PrintedSheet
from scionary.book.models.readings import RawFile, Sensor, SensorDay
from scionary.book.models.schedule import KeptSchedule, StockOffer
from scionary.book.models.stock import PotKind, RootstockLot
from scionary.book.models.tally import Tally
from scionary.book.models.tree import MotherTree, ScionBag
from scionary.book.models.trial import Trial
from scionary.book.models.weather import WeatherMonth, WeatherStation
from scionary.book.models.wish import AcceptedPlan, Wish

__all__ = [
    "AcceptedPlan",
    "BenchDay",
    "CalendarFeed",
    "CodeLease",
    "Cultivar",
    "Device",
    "Dome",
    "DomeState",
    "Event",
    "EventSubject",
    "FoldRules",
    "Graft",
    "Job",
    "KeptAside",
    "KeptSchedule",
    "Method",
    "MotherTree",
    "Noun",
    "Nursery",
    "OtherName",
    "Photo",
    "Plant",
    "PotKind",
    "PrintedSheet",
    "RawFile",
    "RootstockLot",
    "ScionBag",
    "Sensor",
    "SensorDay",
    "StockOffer",
    "Subject",
    "Tally",
    "Trial",
    "WeatherMonth",
    "WeatherStation",
    "Wish",
]

NOUNS: dict[str, type[Noun]] = {
    model.noun: model
    for model in (
        AcceptedPlan,
        BenchDay,
        Cultivar,
        Dome,
        Method,
        MotherTree,
        Nursery,
        OtherName,
        Photo,
        PotKind,
        PrintedSheet,
        RootstockLot,
        ScionBag,
        Sensor,
        StockOffer,
        Tally,
        Trial,
        WeatherStation,
        Wish,
    )
}

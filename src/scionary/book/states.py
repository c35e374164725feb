"""What the fold makes: the columns of a graft, a plant and a dome, as plain values."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID


@dataclass
class GraftState:
    """Columns of one graft; see the model `Graft`."""

    id: UUID
    plant_id: UUID
    grafted_at: datetime
    precision: str = "day"
    cultivar_id: UUID | None = None
    method_id: UUID | None = None
    lot_id: UUID | None = None
    tree_id: UUID | None = None
    bag_id: UUID | None = None
    bench_id: UUID | None = None
    dome_id: UUID | None = None
    scion_mm: float | None = None
    stock_mm: float | None = None
    cut_mm: float | None = None
    lean_mm: float | None = None
    grafter: str = ""
    stalk_drops: str | None = None
    bud_moving: str | None = None
    firm: str | None = None
    firm_at: datetime | None = None
    growing: str | None = None
    growing_at: datetime | None = None
    in_leaf: str | None = None
    in_leaf_at: datetime | None = None
    lost_at: datetime | None = None
    lost_sign: str = ""
    lost_cause: str = ""
    replaced: bool = False
    disputed: list[str] = field(default_factory=list)


@dataclass
class PlantState:
    """Columns of one plant; see the model `Plant`."""

    id: UUID
    code_number: int | None = None
    cultivar_id: UUID | None = None
    running_number: int | None = None
    name_status: str = "given"
    name_chance: float | None = None
    name_doubted_at: datetime | None = None
    name_doubt: str = ""
    quarantined_at: datetime | None = None
    quarantine_reason: str = ""
    state: str = "waiting"
    state_since: datetime | None = None
    dome_id: UUID | None = None
    place: int | None = None
    stands: str = ""
    pot_kind_id: UUID | None = None
    seen_at: datetime | None = None
    last_sign: str = ""
    label_medium: str = ""
    label_written_at: datetime | None = None
    label_light: str = ""
    headed_back_at: datetime | None = None
    untied_at: datetime | None = None
    suckers_rubbed_at: datetime | None = None
    staked_at: datetime | None = None
    potted_on_at: datetime | None = None
    under_cover: bool | None = None
    left_how: str = ""
    price_got: float | None = None
    disputed: list[str] = field(default_factory=list)
    flags: list[str] = field(default_factory=list)


@dataclass
class DomeFold:
    """Columns of one dome's state; see the model `DomeState`."""

    dome_id: UUID
    watered_at: datetime | None = None
    vent_pct: float | None = None
    vented_at: datetime | None = None
    treated_at: datetime | None = None
    seen_at: datetime | None = None
    disputed: list[str] = field(default_factory=list)

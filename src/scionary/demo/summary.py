"""What the demo book holds, in numbers."""

from __future__ import annotations

from dataclasses import asdict, dataclass


@dataclass(frozen=True)
class DemoSummary:
    """Counts of what was made; `seasons` are the past growing years that are complete."""

    plants: int
    grafts: int
    seasons: tuple[int, ...]
    cultivars: int
    wishes: int
    events: int
    readings: int
    files: int

    def to_dict(self) -> dict[str, object]:
        return {**asdict(self), "seasons": list(self.seasons)}

    @property
    def words(self) -> str:
        years = " and ".join(str(year) for year in self.seasons)
        return (
            f"Tarn Bridge: {self.grafts} grafts of {self.cultivars} cultivars, mostly of {years}, "
            f"{self.wishes} wishes, {self.readings} readings from {self.files} logger files."
        )

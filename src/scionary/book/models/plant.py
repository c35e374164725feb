"""Plant and graft: folded from events, kept in columns for quick queries, written by the fold alone."""

from __future__ import annotations

from django.db import models

from scionary.book.chances import chance_words
from scionary.book.texts import later
from scionary.language import say


class Plant(models.Model):
    """What stands in the pot; the code belongs to it."""

    class State(models.TextChoices):
        WAITING = "waiting", later("not known yet")
        ALIVE = "alive", later("alive")
        DEAD = "dead", later("lost")
        MISSING = "missing", later("missing")
        LEFT = "left", later("left by sale or gift")

    class NameStatus(models.TextChoices):
        GIVEN = "given", later("as labelled")
        CONFIRMED = "confirmed", later("confirmed in leaf")
        INFERRED = "inferred", later("inferred")

    id = models.UUIDField(primary_key=True)
    code_number = models.PositiveIntegerField(null=True, db_index=True)
    cultivar = models.ForeignKey("book.Cultivar", on_delete=models.DO_NOTHING, db_constraint=False, null=True)
    running_number = models.PositiveIntegerField(null=True)
    name_status = models.CharField(max_length=10, choices=NameStatus, default=NameStatus.GIVEN)
    name_chance = models.FloatField(null=True, help_text="With which an inferred name is right.")
    name_doubted_at = models.DateTimeField(null=True)
    name_doubt = models.CharField(max_length=200, blank=True, help_text="Why its name is in doubt.")
    quarantined_at = models.DateTimeField(null=True)
    quarantine_reason = models.CharField(max_length=200, blank=True)
    state = models.CharField(max_length=10, choices=State, default=State.WAITING, db_index=True)
    state_since = models.DateTimeField(null=True)
    dome = models.ForeignKey("book.Dome", on_delete=models.DO_NOTHING, db_constraint=False, null=True, related_name="plants")
    place = models.PositiveIntegerField(null=True)
    stands = models.CharField(max_length=120, blank=True)
    pot_kind = models.ForeignKey("book.PotKind", on_delete=models.DO_NOTHING, db_constraint=False, null=True)
    seen_at = models.DateTimeField(null=True)
    last_sign = models.CharField(max_length=20, blank=True)
    label_medium = models.CharField(max_length=30, blank=True)
    label_written_at = models.DateTimeField(null=True)
    label_light = models.CharField(max_length=5, blank=True, help_text="Where its label hangs: sun or shade.")
    headed_back_at = models.DateTimeField(null=True)
    untied_at = models.DateTimeField(null=True)
    suckers_rubbed_at = models.DateTimeField(null=True)
    staked_at = models.DateTimeField(null=True)
    potted_on_at = models.DateTimeField(null=True)
    under_cover = models.BooleanField(null=True)
    left_how = models.CharField(max_length=10, blank=True)
    price_got = models.FloatField(null=True)
    disputed = models.JSONField(default=list)
    flags = models.JSONField(default=list)

    class Meta:
        ordering = ["cultivar__spoken", "running_number"]

    def __str__(self) -> str:
        return self.spoken

    @property
    def spoken(self) -> str:
        """The name a person says: Red Tarn 12."""
        cultivar = self.cultivar.spoken if self.cultivar_id and self.cultivar else say("Unnamed")
        return f"{cultivar} {self.running_number}" if self.running_number else cultivar

    @property
    def name_words(self) -> str:
        """What the name rests on; an inferred one with its chance, cut off and never rounded up: inferred, 0.93."""
        words = str(self.NameStatus(self.name_status).label)
        if self.name_status != self.NameStatus.INFERRED or self.name_chance is None:
            return words
        return f"{words}, {chance_words(self.name_chance)}"

    @property
    def name_caution(self) -> str:
        """What must stand beside a name that is not sure: name inferred, 0.93, or name in doubt; empty for any other."""
        if self.name_status != self.NameStatus.INFERRED:
            return say("name in doubt") if self.name_doubted_at is not None else ""
        if self.name_doubted_at is None:
            return say("name {rests_on}", rests_on=self.name_words)
        return say("name {rests_on}, and in doubt", rests_on=self.name_words)

    @property
    def quarantine_caution(self) -> str:
        """What must stand beside a plant that is set apart: in quarantine; empty for any other."""
        return say("in quarantine") if self.quarantined_at is not None else ""

    @property
    def cautions(self) -> list[str]:
        """All that must stand beside its name wherever it is shown."""
        return [words for words in (self.name_caution, self.quarantine_caution) if words]

    @property
    def key(self) -> str:
        return f"plant:{self.pk}"


class Graft(models.Model):
    """One scion on one stock on one date; its id is that of the event which made it."""

    class Answer(models.TextChoices):
        YES = "yes", later("yes")
        NO = "no", later("no")

    id = models.UUIDField(primary_key=True)
    plant = models.ForeignKey(Plant, on_delete=models.CASCADE, related_name="grafts")
    grafted_at = models.DateTimeField(db_index=True)
    precision = models.CharField(max_length=5, default="day")
    cultivar = models.ForeignKey("book.Cultivar", on_delete=models.DO_NOTHING, db_constraint=False, null=True)
    method = models.ForeignKey("book.Method", on_delete=models.DO_NOTHING, db_constraint=False, null=True)
    lot = models.ForeignKey("book.RootstockLot", on_delete=models.DO_NOTHING, db_constraint=False, null=True, related_name="grafts")
    tree = models.ForeignKey("book.MotherTree", on_delete=models.DO_NOTHING, db_constraint=False, null=True, related_name="grafts")
    bag = models.ForeignKey("book.ScionBag", on_delete=models.DO_NOTHING, db_constraint=False, null=True, related_name="grafts")
    bench = models.ForeignKey("book.BenchDay", on_delete=models.DO_NOTHING, db_constraint=False, null=True, related_name="grafts")
    dome = models.ForeignKey("book.Dome", on_delete=models.DO_NOTHING, db_constraint=False, null=True, related_name="grafts_healed")
    scion_mm = models.FloatField(null=True)
    stock_mm = models.FloatField(null=True)
    cut_mm = models.FloatField(null=True)
    lean_mm = models.FloatField(null=True)
    grafter = models.CharField(max_length=60, blank=True)
    stalk_drops = models.CharField(max_length=3, choices=Answer, null=True)
    bud_moving = models.CharField(max_length=3, choices=Answer, null=True)
    firm = models.CharField(max_length=3, choices=Answer, null=True)
    firm_at = models.DateTimeField(null=True)
    growing = models.CharField(max_length=3, choices=Answer, null=True)
    growing_at = models.DateTimeField(null=True)
    in_leaf = models.CharField(max_length=3, choices=Answer, null=True)
    in_leaf_at = models.DateTimeField(null=True)
    lost_at = models.DateTimeField(null=True)
    lost_sign = models.CharField(max_length=60, blank=True)
    lost_cause = models.CharField(max_length=120, blank=True)
    replaced = models.BooleanField(default=False, help_text="The stock was grafted again.")
    disputed = models.JSONField(default=list)

    class Meta:
        ordering = ["grafted_at", "id"]

"""Where a plant's wood comes from, further back than its mother tree: the plant that the tree grew from, and so on."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from scionary.answers.find import find
from scionary.book.models import Graft, MotherTree, Plant
from scionary.errors import Refused
from scionary.language import say
from scionary.names import code_of, grouped


@dataclass(frozen=True)
class Forebear:
    """A plant of the book that grew into a mother tree, with its own graft and the tree that its scion was cut from."""

    plant: Plant
    grown_into: MotherTree
    graft: Graft | None
    tree: MotherTree | None


def forebears(plant: Plant) -> list[Forebear]:
    """The plants that this one's wood came through, nearest first; empty where its mother tree grew from no plant of the book."""
    trees = ("tree__raised_from", "bag__tree__raised_from")
    raised = Graft.objects.filter(plant_id=plant.pk).order_by("grafted_at", "id").values_list(*trees).last()
    return _behind(_tree_of(_standing_graft(plant))) if raised and any(raised) else []


def forebears_of_tree(tree: MotherTree) -> list[Forebear]:
    """The same of a mother tree."""
    return _behind(MotherTree.objects.select_related("raised_from__cultivar").get(pk=tree.pk))


def _behind(tree: MotherTree | None) -> list[Forebear]:
    found: list[Forebear] = []
    seen: set[UUID] = set()
    while tree is not None and tree.raised_from is not None and tree.pk not in seen:
        seen.add(tree.pk)
        graft = _standing_graft(tree.raised_from)
        found.append(Forebear(tree.raised_from, tree, graft, _tree_of(graft)))
        tree = found[-1].tree
    return found


def _standing_graft(plant: Plant) -> Graft | None:
    """A plant's last graft: the scion of an earlier one is gone. A plant whose graft is undone joins to nothing."""
    related = ("tree__raised_from__cultivar", "bag__tree__raised_from__cultivar")
    return Graft.objects.filter(plant_id=plant.pk).select_related(*related).order_by("grafted_at", "id").last()


def _tree_of(graft: Graft | None) -> MotherTree | None:
    if graft is None:
        return None
    return graft.tree or (graft.bag.tree if graft.bag else None)


def plant_raised(text: str, tree: MotherTree | None = None) -> Plant:
    """The one plant that a code or a name means, as that from which a mother tree grew.

    Raises `Refused` where the text fits several plants or none, or where the plant's own wood came from that tree.
    """
    answer = find(text)
    if answer.plant is None:
        near = "; ".join(f"{plant.spoken} ({grouped(plant.code)})" if plant.code else plant.spoken for plant in answer.plants[:4])
        told = (
            say("Give the code of one of them: {near}.", near=near) if near else say("Give the code on its label, or its name and number.")
        )
        raise Refused(answer.words, where="raised_from", remedy=told)
    plant = Plant.objects.select_related("cultivar").get(pk=answer.plant.id)
    wood = _tree_of(_standing_graft(plant))
    behind = {each.pk for step in forebears(plant) for each in (step.grown_into, step.tree) if each} | ({wood.pk} if wood else set())
    if tree is not None and tree.pk in behind:
        raise Refused(
            say("{plant} was itself grafted with wood from {tree}, which so cannot have grown from it.", plant=plant.spoken, tree=tree),
            where="raised_from",
            remedy=say("If a young tree took the old one's place, add it as a mother tree under a name of its own."),
        )
    return plant


def named_with_code(plant: Plant) -> str:
    """How a plant is written so that it is found again: its code, or its name while it has none."""
    return grouped(code_of(plant.code_number)) if plant.code_number is not None else plant.spoken

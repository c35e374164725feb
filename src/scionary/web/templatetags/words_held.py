"""`translate` as Django has it, for a text that stands in a template: looked up once in each language, not on row after row."""

from __future__ import annotations

from weakref import WeakKeyDictionary

from django import template
from django.template.base import Node, Parser, Token
from django.template.context import Context
from django.templatetags.i18n import TranslateNode, do_translate
from django.utils.translation.trans_real import catalog

register = template.Library()


class HeldWords(Node):
    """A text whose words are held for each catalogue that was read in."""

    def __init__(self, node: TranslateNode) -> None:
        self.node = node
        self.words: WeakKeyDictionary[object, str] = WeakKeyDictionary()

    def render(self, context: Context) -> str:
        catalogue = catalog()
        words = self.words.get(catalogue)
        if words is None:
            words = self.words[catalogue] = self.node.render(context)
        return words


@register.tag("translate")
def translate(parser: Parser, token: Token) -> Node:
    """The text in the reader's language; what is no text in quotes, or is kept under a name, is looked up each time."""
    node = do_translate(parser, token)
    said = node.filter_expression
    fixed = said.var.literal is not None and not said.filters
    return HeldWords(node) if fixed and not (node.asvar or node.noop or node.message_context) else node

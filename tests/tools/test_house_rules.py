from __future__ import annotations

from pathlib import Path

import pytest
from house_rules import addresses_in_lock, breaches_in_template


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("<script>go()</script>", "a script inside the page"),
        ("<style>p { color: red }</style>", "a style element"),
        ('<p style="color: red">', "a style attribute"),
        ('<button onclick="go()">', "an event attribute"),
        ("<form hx-on:submit=\"go()\" method='post'>", "an attribute that needs eval"),
        ("<div hx-vals='js:{a: 1}'>", "an attribute that needs eval"),
        ('<link rel="stylesheet" href="//somewhere.invalid/a.css">', "something loaded from outside"),
        ('<img src="https://somewhere.invalid/a.png">', "something loaded from outside"),
    ],
)
def test_what_the_policy_would_stop_is_named_with_its_line(tmp_path: Path, line: str, why: str) -> None:
    page = tmp_path / "page.html"
    page.write_text(f"<main>\n{line}\n</main>\n")
    found = breaches_in_template(page)
    assert len(found) == 1
    assert found[0].startswith(f"{page}:2: {why}")


def test_a_plain_page_passes(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    page.write_text(
        '<script src="{% static \'a.js\' %}" defer></script>\n<a href="https://register.invalid/">the register</a>\n'
        '<form hx-post="/due/" action="/due/" hx-vals=\'{"a": 1}\' class="style only"><p title="on = 1"></p></form>\n'
    )
    assert breaches_in_template(page) == []


@pytest.mark.parametrize(
    "line",
    [
        "--index-url somewhere",
        "--find-links=/a/folder",
        "--extra-index-url somewhere",
        "-i somewhere",
        "numpy @ https://somewhere.invalid/numpy.whl",
        "# from http://somewhere.invalid",
        "numpy @ file:///a/folder/numpy.whl",
    ],
)
def test_an_address_in_a_lock_is_found(tmp_path: Path, line: str) -> None:
    lock = tmp_path / "lock.txt"
    lock.write_text(f"numpy==2.4.6 \\\n    --hash=sha256:00\n{line}\n")
    assert [found.split(": ")[0] for found in addresses_in_lock(lock)] == [f"{lock}:3"]

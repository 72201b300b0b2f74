"""Whether every page can be read and touched: narrow screens, contrast in light and dark, sizes of targets."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from examples import PAGES, states
from house import plain_paths
from playwright.sync_api import Page

#: Every address, by state: the calculating pages empty, filled in and with every field wrong; the others as they are.
STATES = {
    **{f"{page.name}-{state}": path for page in PAGES for state, path in states(page).items()},
    **{path: path for path in plain_paths() if path.strip("/") not in {page.name for page in PAGES}},
}
every_state = pytest.mark.parametrize("path", STATES.values(), ids=STATES.keys())

#: WCAG 2.2, levels A and AA; 7:1 contrast (1.4.6, AAA) by name, for reading in the sun.
RULES: dict[str, Any] = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa"]},
    "rules": {"color-contrast-enhanced": {"enabled": True}, "target-size": {"enabled": True}},
    "resultTypes": ["violations"],
}
CONTRAST: dict[str, Any] = {
    "runOnly": {"type": "rule", "values": ["color-contrast", "color-contrast-enhanced", "link-in-text-block"]},
    "resultTypes": ["violations"],
}
#: Level AAA of 2.5.5, in CSS pixels.
TARGET_PX = 44
#: Below this iOS zooms into a field that is touched.
FIELD_FONT_PX = 16

OPEN_FOLDS = "document.querySelectorAll('details').forEach(fold => fold.open = true)"

TOO_WIDE = """() => {
  const width = document.documentElement.clientWidth, found = [];
  if (document.documentElement.scrollWidth > width) found.push(`page is ${document.documentElement.scrollWidth} wide`);
  for (const element of document.body.querySelectorAll('*')) {
    if (element.closest('.wide') || element.closest('svg')) continue;
    const box = element.getBoundingClientRect();
    if (box.width && (box.right > width + .5 || box.left < -.5)) found.push(element.outerHTML.slice(0, 120));
  }
  return found;
}"""

# A link inside a sentence is exempt: its line is as high as the text is.
TOO_SMALL = """least => {
  const found = [];
  for (const control of document.querySelectorAll('a, button, input, select, textarea, summary')) {
    if (control.type === 'hidden') continue;
    const target = control.matches('[type=checkbox], [type=radio]') ? control.closest('label') : control;
    const box = target.getBoundingClientRect();
    if (!box.width && !box.height) continue;
    const words = [...control.parentNode.childNodes].filter(node => node.nodeType === 3 && node.data.trim());
    if (control.matches('p a, li a, dd a') && words.length) continue;
    if (box.width < least - .01 || box.height < least - .01)
      found.push(`${box.width.toFixed(1)} x ${box.height.toFixed(1)}: ${target.outerHTML.slice(0, 120)}`);
  }
  return found;
}"""

SMALL_FONTS = """least => [...document.querySelectorAll('input:not([type=hidden], [type=checkbox]), select, textarea')]
  .filter(field => parseFloat(getComputedStyle(field).fontSize) < least).map(field => field.outerHTML)"""


def violations(axe: Axe, page: Page, options: dict[str, Any]) -> list[str]:
    """Run axe and return its findings, one line each."""
    found = axe.run(page, options=options).response["violations"]
    return [f"{rule['id']}: {node['html'][:200]} {node['failureSummary']}" for rule in found for node in rule["nodes"]]


@every_state
def test_fits_a_narrow_screen_and_a_finger(path: str, page: Page) -> None:
    page.set_viewport_size({"width": 320, "height": 640})
    page.goto(path)
    assert page.evaluate(TOO_WIDE) == []
    page.evaluate(OPEN_FOLDS)
    assert page.evaluate(TOO_WIDE) == []
    assert page.evaluate(TOO_SMALL, TARGET_PX) == []
    assert page.evaluate(SMALL_FONTS, FIELD_FONT_PX) == []


@every_state
def test_no_barriers_and_contrast_in_light_and_dark(path: str, page: Page, axe: Axe) -> None:
    page.goto(path)
    page.evaluate(OPEN_FOLDS)
    assert violations(axe, page, RULES) == []
    page.emulate_media(color_scheme="dark")
    assert violations(axe, page, CONTRAST) == []


def test_the_contrast_rules_find_what_they_look_for(page: Page, axe: Axe) -> None:
    page.goto("/")
    page.evaluate("document.querySelector('h1').style.color = '#777'")
    assert any(found.startswith("color-contrast-enhanced") for found in violations(axe, page, RULES))
    assert any(found.startswith("color-contrast-enhanced") for found in violations(axe, page, CONTRAST))


def test_the_measures_find_what_they_look_for(page: Page) -> None:
    # Styles set through the object model are allowed where a style attribute in the page isn't.
    page.goto("/")
    page.evaluate(
        """() => {
          const wide = document.createElement('pre'), small = document.createElement('button');
          wide.textContent = 'x'.repeat(200); wide.style.width = '1500px';
          small.textContent = 'x'; small.style.cssText = 'width:20px;min-height:0;height:20px';
          const field = document.createElement('input'); field.style.fontSize = '15px';
          document.body.append(wide, small, field);
        }"""
    )
    assert len(page.evaluate(TOO_WIDE)) >= 2
    assert len(page.evaluate(TOO_SMALL, TARGET_PX)) == 1
    assert len(page.evaluate(SMALL_FONTS, FIELD_FONT_PX)) == 1

"""Every screen with letters twice as large (WCAG 2.2, 1.4.4): nothing is cut off, and no word is broken by a column."""

import re
import sys
from pathlib import Path

from playwright.sync_api import expect

from .conftest import CHROMIUM, PHONE
from .worked_case import record, set_aside, sign_in_here, worked_case

sys.path.insert(0, str(Path(__file__).parents[2] / "deploy"))
import every_screen

TWICE = "--blink-settings=defaultFontSize=32"

# Texts that are cut off, lie beside the page or whose words are broken. Figures (a VIN, an address) may break anywhere.
FAULTS = r"""() => {
  const found = new Set();
  const page = document.scrollingElement;
  if (page.scrollWidth > innerWidth) found.add(`the page is ${page.scrollWidth} px wide`);
  const hides = (how) => how === 'hidden' || how === 'clip';
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let text = texts.nextNode(); text; text = texts.nextNode()) {
    const about = text.parentElement;
    if (!text.textContent.trim() || !about.checkVisibility({visibilityProperty: true})) continue;
    if (about.closest('.unseen, svg, select, noscript')) continue;
    const told = `"${text.textContent.trim().slice(0, 40)}" in ${about.localName}.${about.className}`;
    const range = document.createRange();
    for (const word of about.closest('.figures, .plate') ? [] : text.textContent.matchAll(/\p{L}+/gu)) {
      range.setStart(text, word.index);
      range.setEnd(text, word.index + word[0].length);
      const lines = [...range.getClientRects()].filter((box) => box.width > 0).map((box) => Math.round(box.top));
      if (new Set(lines).size > 1) found.add(`${word[0]} is broken: ${told}`);
    }
    range.selectNodeContents(text);
    for (const box of range.getClientRects()) {
      for (let around = about; around; around = around.parentElement) {
        const {overflowX, overflowY} = getComputedStyle(around);
        const frame = around.getBoundingClientRect();
        const beyondX = box.left < frame.left - 1 || box.right > frame.right + 1;
        const beyondY = box.top < frame.top - 2 || box.bottom > frame.bottom + 2;
        if ((hides(overflowX) && beyondX) || (hides(overflowY) && beyondY)) found.add(`cut off: ${told}`);
        if (/auto|scroll/.test(overflowX + overflowY)) break;
        if (around === document.body && beyondX) found.add(`beside the page: ${told}`);
      }
    }
  }
  return [...found];
}"""


def test_every_screen_can_be_read_with_letters_twice_as_large(playwright, shop):
    chromium = playwright.chromium.launch(**CHROMIUM | {"args": [*CHROMIUM["args"], TWICE]})
    phone = chromium.new_context(base_url=shop.address, **PHONE)
    page = sign_in_here(phone)
    told = worked_case(page)
    page.goto("/#/")
    faults = {}
    for name, address in every_screen.addresses(page, told.case):
        every_screen.arrive(page, address)
        faults[name] = page.evaluate(FAULTS)
    assert len(faults) > 40
    set_aside(phone, "The shop does not know it.")
    record(page, told.case, ("note", {"text": "Kept apart"}))
    strip = page.get_by_role("navigation", name="Device and shop")
    expect(strip).to_contain_text("set aside")
    phone.route("**/api/sync", lambda route: None)  # never answered
    record(page, told.case, ("note", {"text": "On its way"}))
    expect(strip).to_contain_text(re.compile(r"\d unsent since .*Sending.*set aside", re.DOTALL))
    faults["the strip with all that it can say"] = page.evaluate(FAULTS)
    assert page.evaluate("() => getComputedStyle(document.documentElement).fontSize") == "32px"
    assert [f"{name}: {fault}" for name, found in faults.items() for fault in found] == []
    chromium.close()

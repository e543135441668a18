"""Steps that the browser tests share."""

from __future__ import annotations

from typing import Any

READY = "#ready:not(:has([hx-get])) table.roster a"
"""Links of the club's list, once every golfer is worked out."""

MOVE = """async ([selector, value]) => {
  const slider = document.querySelector(selector), answer = document.getElementById('answer');
  const begun = performance.now();
  const drawn = new Promise((done, failed) => {
    setTimeout(() => failed(new Error('no new picture within two minutes')), 120000);
    const watch = new MutationObserver(() => {
      watch.disconnect();
      requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now() - begun)));
    });
    watch.observe(answer, {childList: true});
  });
  slider.value = value;
  slider.dispatchEvent(new Event('input', {bubbles: true}));
  return await drawn;
}"""
"""Moves a slider; the milliseconds until the new picture stands on the screen, or an error."""

AXE_RUN = """async () => {
  const found = await axe.run({resultTypes: ['violations']});
  return found.violations.filter(one => ['serious', 'critical'].includes(one.impact))
    .map(one => `${one.id}: ${one.nodes.map(node => node.html.slice(0, 120)).join(' | ')}`);
}"""
"""Runs the accessibility check; its serious and critical findings."""


def ready(page: Any) -> None:
    """Wait until the page answers to what is moved on it: deferred scripts run before its load event."""
    page.wait_for_load_state("load")
    assert page.evaluate("window.htmx !== undefined")


def leave(page: Any, way: Any) -> None:
    """Press what leads to another page, and wait until that page is there with its style and scripts.

    A click by itself returns while the old page still stands; what is read or opened next may race with it.
    """
    with page.expect_navigation(wait_until="load"):
        way.click()


def open_club(page: Any, address: str) -> None:
    """Open the page of the club and wait until every golfer is worked out."""
    page.goto(f"{address}/")
    page.wait_for_selector(READY, timeout=300_000)


def open_golfer(page: Any, address: str, place: int = 0) -> str:
    """Open a golfer's page from the club's, and return its address."""
    open_club(page, address)
    page.locator(READY).nth(place).click()
    page.wait_for_selector("dl.answers")
    return str(page.url)


def open_what_if(page: Any, address: str, place: int = 0) -> None:
    """Open the sliders of a golfer."""
    open_golfer(page, address, place)
    page.get_by_role("link", name="Try another week").click()
    page.wait_for_selector("#h-1")
    ready(page)


def move(page: Any, selector: str, value: float) -> float:
    """Move a slider and return the milliseconds until the picture is new."""
    return float(page.evaluate(MOVE, [selector, str(value)]))

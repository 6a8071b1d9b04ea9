"""Ways to look at a page: an audit, colours, what is told, the keyboard, widths and lengths.

What costs most is done as seldom as it proves something. Each combination of colours is audited on
the first pages that have it, in the light and in the dark; it takes twice as long as all other
rules. A key takes as long as some hundred stops that a script goes to.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from axe_playwright_python.base import AXE_SCRIPT, AxeResults

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize

DESK_PX: ViewportSize = {"width": 1280, "height": 850}
STOPS_BY_KEY = 3
"""Stops of a page that are gone to by a key after the way past the navigation."""
PAST_EVERY = 5
"""On one page of so many the way past the navigation is gone by keys."""
ALIKE = 2
"""On how many pages a combination of colours is audited."""
LOOK = """() => {
  const faults = [];
  const count = (what) => document.querySelectorAll(what).length;
  if (count('main') !== 1) faults.push('not one main part');
  if (count('h1') !== 1) faults.push(`${count('h1')} first headings`);
  if (!document.documentElement.lang) faults.push('no language');
  const names = [...document.querySelectorAll('nav')].map((nav) =>
    nav.getAttribute('aria-label') || nav.getAttribute('aria-labelledby') || '');
  if (names.includes('')) faults.push('a navigation without a name');
  if (new Set(names).size < names.length) faults.push('two navigations of one name');
  for (const svg of document.querySelectorAll('svg')) {
    if (svg.closest('[aria-hidden=true]')) continue;
    const ids = (svg.getAttribute('aria-labelledby') || '').split(' ').filter(Boolean);
    const words = ids.map((id) => document.getElementById(id)?.textContent ?? '').join(' ');
    const inside = svg.querySelector(':scope > title')?.textContent ?? '';
    const name = svg.getAttribute('aria-label') || words || inside;
    const isTold = ['img', 'group'].includes(svg.getAttribute('role')); // a group of its handles
    if (!isTold || !name.trim()) faults.push('a drawing without words');
  }
  return faults;
}"""
AUDIT = """async ([place, rules]) => {
  const what = { resultTypes: ["violations"], ...rules };
  const { violations } = await axe.run(place ?? document, what);
  return { violations };
}"""
"""What passed is told by nobody, since its telling takes as long as the audit."""
THUMB_PX = 44
"""How high what is pressed is on a phone (WCAG 2.2, success criterion 2.5.5); links in a text and
ticks of a list may be lower."""
PRESSED = """height => [...document.querySelectorAll(
    'button, select, summary, .pill, .top nav a, input:not([type=checkbox], [type=radio])')]
  .filter((one) => one.getClientRects().length && !one.closest('.unseen, svg'))
  .filter((one) => one.getBoundingClientRect().height < height - 0.5)
  .map((one) => `${one.outerHTML.slice(0, 60)}: ` +
    `${one.getBoundingClientRect().height.toFixed(1)} px high`)"""
APART_PX = 3.5
"""How far apart what is pressed lies at least, side by side or one below the other."""
TOUCHING = """apart => {
  const all = [...document.querySelectorAll('a.pill, button')]
    .filter((one) => !one.closest('.unseen'))
    .filter((one) => one.checkVisibility({ contentVisibilityAuto: true }))
    .map((one) => [one.textContent.trim().slice(0, 40), one.getBoundingClientRect()])
    .filter(([, box]) => box.width > 1 && box.height > 1);
  const near = (gap) => gap < apart;
  const faults = [];
  all.forEach(([words, box], number) => all.slice(number + 1).forEach(([others, other]) => {
    const aside = Math.max(other.left - box.right, box.left - other.right);
    const below = Math.max(other.top - box.bottom, box.top - other.bottom);
    if (near(aside) && near(below)) faults.push(`${words} touches ${others}`);
  }));
  return faults;
}"""
CONTRAST = {"runOnly": ["color-contrast"]}
NO_CONTRAST = {"rules": {"color-contrast": {"enabled": False}}}
COLOURS = """() => {
  const layers = new Map();
  const under = (element) => {  // what lies under an element's words, down to what hides the rest
    if (!element) return '';
    if (!layers.has(element)) {
      const style = getComputedStyle(element);
      const own = [style.backgroundColor, style.backgroundImage, style.opacity, style.position];
      const isEnd = /^rgb\\(/.test(style.backgroundColor) && style.opacity === '1';
      layers.set(element, own.join() + (isEnd ? '' : `|${under(element.parentElement)}`));
    }
    return layers.get(element);
  };
  const isOff = (element) => element.closest(':disabled, [aria-disabled=true]') !== null
    || Boolean(element.closest('label')?.control?.disabled);
  const hasWords = (element) => element.matches('input, select, textarea, button')
    || [...element.childNodes].some((node) => node.nodeType === 3 && node.data.trim());
  window.lookedAt = new Map();
  for (const element of document.body.querySelectorAll('*')) {
    if (!hasWords(element) || !element.checkVisibility({ visibilityProperty: true })) continue;
    const { width, height } = element.getBoundingClientRect();
    if (width <= 1 || height <= 1) continue;
    const style = getComputedStyle(element);
    const own = [element.tagName, style.color, style.fontSize, style.fontWeight, isOff(element)];
    const sign = `${own.join()}|${under(element)}`;
    if (!window.lookedAt.has(sign)) window.lookedAt.set(sign, element);
  }
  return [...window.lookedAt.keys()];
}"""
"""Tell the combinations of letters and ground of a page, and keep an element of each."""
BEGIN = """() => {
  window.scrollTo(0, 0);
  document.activeElement?.blur();
  window.getSelection().empty();
  window.stopFaults = new Set();
  document.addEventListener('focusin', ({ target: stop }) => {
    if (stop.tabIndex < 0) return;  // where a link within the page led
    const style = getComputedStyle(stop);
    const isSeen = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) > 0;
    if (!isSeen) stopFaults.add(`no sign of the keyboard at ${stop.outerHTML.slice(0, 90)}`);
    if (stop.tabIndex > 0) stopFaults.add('a stop out of order');
  });
}"""
FIRST_STOP = """() => {
  const here = document.activeElement;
  const isAtSkip = here.matches('.skip');
  const target = isAtSkip && document.getElementById(here.hash.slice(1));
  return {
    hasFaults: document.querySelector('#faults') !== null,
    hasNavigation: document.querySelector('header, nav') !== null,
    isAtSkip,
    leadsToMain: Boolean(target) && target.matches('main'),
  };
}"""
IS_IN_PAGE = """() => {
  const here = document.activeElement;
  const parts = ['header', 'nav'].map((part) => here.closest(part)).filter(Boolean);
  return !parts.some((part) => !part.closest('main'));
}"""
"""Tell whether the focus is not in what the first link leads past; it may be at the page's end."""
GO_ON = """() => {
  const all = 'a[href], button, input, select, textarea, summary, [tabindex]';
  for (const stop of document.querySelectorAll(all)) stop.focus({ preventScroll: true });
  return [...stopFaults];
}"""
"""Go to all that the keys would come to; it shows as it does by a key, since one came last."""


LEAST_CONTRAST = 4.5
"""Between words and paper (WCAG 2.2, 1.4.3)."""
PALE = """(least) => {
    const found = new Set();
    const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (texts.nextNode()) {
        const one = texts.currentNode.parentElement, style = getComputedStyle(one);
        if (!texts.currentNode.data.trim() || one.closest('svg, .unseen, script, style')) continue;
        if (!one.checkVisibility({visibilityProperty: true}) || style.printColorAdjust === 'exact')
            continue;
        const [r, g, b] = style.color.match(/[\\d.]+/g).map(Number).map((part) => part / 255)
            .map((part) => part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4);
        const light = 0.2126 * r + 0.7152 * g + 0.0722 * b;
        if (1.05 / (light + 0.05) < least) found.add(texts.currentNode.data.trim());
    }
    return [...found];
}"""
"""Words that are paler than paper allows; what is printed with its ground is left out."""


def open_browser(
    browser: Browser, language: str = "en", *, has_axe: bool = False
) -> BrowserContext:
    """Open a browser at a desk; it keeps no pages for times without signal."""
    context = browser.new_context(
        viewport=DESK_PX,
        color_scheme="light",
        locale=language,
        service_workers="block",
    )
    if has_axe:
        context.add_init_script(AXE_SCRIPT)
    return context


@dataclass(slots=True)
class Eye:
    """Looks at page after page of somebody: all of a page, and of colours what is new.

    Attributes:
        colours: On how many pages a combination was audited, in the light and in the dark.
        pages: How many pages were gone through by the keyboard.
    """

    colours: Counter[str] = field(default_factory=Counter)
    pages: int = 0

    def audit(self, page: Page) -> list[str]:
        """Audit a page by all rules, in the light."""
        return [*_violations(page.evaluate(AUDIT, [None, NO_CONTRAST])), *self.look(page, "light")]

    def audit_dark(self, page: Page) -> list[str]:
        """Turn a page dark, and audit what combinations of colours it has that are new."""
        page.emulate_media(color_scheme="dark")
        return self.look(page, "dark")

    def look(self, page: Page, scheme: str) -> list[str]:
        """Audit the combinations of colours that were on few pages before."""
        here = {sign: f"{scheme} {sign}" for sign in page.evaluate(COLOURS)}
        new = [sign for sign, known in here.items() if self.colours[known] < ALIKE]
        self.colours.update(here[sign] for sign in new)
        if not new:
            return []
        page.evaluate("signs => { lookedAt = signs.map((sign) => lookedAt.get(sign)); }", new)
        return _violations(page.evaluate(f"rules => ({AUDIT})([lookedAt, rules])", CONTRAST))

    def follow_keys(self, page: Page) -> Iterator[str]:
        """Go through a page; past the navigation on every few pages, since all have one layout."""
        self.pages += 1
        yield from follow_keys(page, goes_past=self.pages % PAST_EVERY == 1)


def follow_keys(page: Page, *, goes_past: bool = True) -> Iterator[str]:
    """Go through a page by the keyboard, and say where it leads astray.

    The first key comes to the way past the navigation, which leads to the main part; it is gone,
    and some stops into the page, if wanted. All others are gone to by a script.
    No stop has a place of its own (`tabindex`), so they come in the order of the document.
    """
    page.evaluate(BEGIN)
    page.keyboard.press("Tab")
    told = page.evaluate(FIRST_STOP)  # with faults to tell the focus begins there
    if told["hasNavigation"] and not told["hasFaults"] and not told["isAtSkip"]:
        yield "the first stop is not the way past the navigation"
    if told["isAtSkip"] and not told["leadsToMain"]:
        yield "the way past the navigation does not lead past it"
    elif told["isAtSkip"] and goes_past:
        page.keyboard.press("Enter")
        for _ in range(STOPS_BY_KEY):
            page.keyboard.press("Tab")
        if not page.evaluate(IS_IN_PAGE):
            yield "the way past the navigation does not lead past it"
    yield from page.evaluate(GO_ON)


def _violations(told: dict[str, object]) -> list[str]:
    result = AxeResults(told)
    return [result.generate_report()] if result.violations_count else []


def words_faults(page: Page) -> list[str]:
    """Say what of a page those who do not see it are not told."""
    return list(page.evaluate(LOOK))


def paper_faults(page: Page) -> list[str]:
    """Say which words would be pale on paper, where printers leave out grounds of colour."""
    page.emulate_media(media="print")
    found = list(page.evaluate(PALE, LEAST_CONTRAST))
    page.emulate_media(media="screen")
    return found


def screens_of(page: Page, size: ViewportSize) -> float:
    """Return how many screens of that size a page is long; the window keeps the size."""
    page.set_viewport_size(size)
    return float(page.evaluate("document.documentElement.scrollHeight")) / size["height"]


def measure_presses(page: Page) -> list[str]:
    """Say what is too low for a thumb, in a window as wide as a phone."""
    return list(page.evaluate(PRESSED, THUMB_PX))


def touching_faults(page: Page) -> list[str]:
    """Say which buttons touch, or lie one upon the other."""
    return list(page.evaluate(TOUCHING, APART_PX))


def measure_width(page: Page, how: str = "") -> Iterator[str]:
    """Say whether a page is wider than its window."""
    size = page.viewport_size
    assert size is not None
    is_wide = page.evaluate("document.documentElement.scrollWidth")
    if is_wide > size["width"]:
        yield f"{is_wide} px wide at {size['width']} px{how}"


def measure_narrow(page: Page) -> Iterator[str]:
    """Say where a page is wider than a narrow window, or one with text twice as large."""
    page.set_viewport_size({"width": 320, "height": DESK_PX["height"]})
    yield from measure_width(page)
    page.set_viewport_size({"width": 640, "height": DESK_PX["height"]})
    page.evaluate("document.documentElement.style.setProperty('font-size', '200%')")
    yield from measure_width(page, " with text twice as large")

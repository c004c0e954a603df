"""The address of every screen, read from the page's own list, with a case to show where a screen needs one.

Nothing here depends on which screens there are: a new one is walked as soon as it stands in ``pwa/app/screens.js``.
"""

from playwright.sync_api import Page

# What stands behind a screen's name in its address, where it needs more: from the case's own log.
_OF_THE_CASE = """async ([id]) => {
  const { caseScreens, screens } = await import('/app/screens.js');
  const log = await (await import('/field/log.js')).entriesOf(id);
  const first = (kind) => log.find((entry) => entry.kind === kind);
  const tag = first('tag_bound')?.body;
  const more = {
    round: ['connector_look'], compare: ['connector_look'], check: ['spark'], cylinder: ['1'],
    entry: [first('codes_read')?.id], picture: [first('photo')?.body.sha256],
    part: [tag?.part], removed: [tag?.part], claim: [tag?.part], label: [tag?.code], torque: [first('repair')?.id],
  };
  const at = (...parts) => '#/' + parts.map(encodeURIComponent).join('/');
  const found = Object.keys(caseScreens).map((name) => [
    'case' + (name && '-' + name), at('case', id, ...(name ? [name] : []), ...(more[name] ?? [])),
  ]);
  for (const name of Object.keys(screens)) found.push([name, at(name, ...(name === 'tag' ? [tag?.code] : []))]);
  return [['start', '#/'], ...found];
}"""


def addresses(page: Page, case: str) -> list[tuple[str, str]]:
    """Name and hash of every screen of the application that ``page`` shows, those of a case with ``case``."""
    return [tuple(one) for one in page.evaluate(_OF_THE_CASE, [case])]


def arrive(page: Page, address: str, limit_ms: int = 120_000) -> None:
    """Go to a screen, and wait until nothing on it is being worked out any more."""
    page.evaluate("hash => { location.hash = hash; }", address)
    page.locator("h1").first.wait_for(timeout=limit_ms)
    page.wait_for_timeout(150)  # until the screen has begun to read what it shows
    page.locator("main [aria-busy=true]:not(section)").first.wait_for(state="detached", timeout=limit_ms)

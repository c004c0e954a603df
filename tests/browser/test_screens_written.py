"""Days, times and numbers as the page writes them, against the browser's own Intl, in the locales of both languages."""

import pytest
from playwright.sync_api import expect

DIFFERENCES = """async (locale) => {
    const { dateWritten, grouped } = await import('/app/written.js');
    const forms = {
        clock: { hour: '2-digit', minute: '2-digit' },
        day: { day: 'numeric', month: 'short' },
        dayOfYear: { day: 'numeric', month: 'short', year: 'numeric' },
        paper: { day: 'numeric', month: 'long', year: 'numeric' },
    };
    const found = [];
    const compare = (form, ours, theirs) => ours === theirs || found.push([form, ours, theirs]);
    for (const [form, options] of Object.entries(forms)) {
        const format = new Intl.DateTimeFormat(locale, options);
        const moments = form === 'clock'
            ? Array.from({ length: 1440 }, (_, minute) => new Date(2026, 10, 27, 0, minute))
            : Array.from({ length: 800 }, (_, day) => new Date(2023, 11, 15 + day, 12));
        for (const moment of moments) compare(form, dateWritten(moment, form, locale), format.format(moment));
    }
    const numbers = [0, 7, 99, 100, 999, 1000, 1234, 9999, 10000, 88650, 123456, 999999, 1000000, 12345678];
    for (const number of numbers) compare('number', grouped(String(number), locale), number.toLocaleString(locale));
    compare('number', grouped('00450', locale), (450).toLocaleString(locale));
    compare('number', grouped('9'.repeat(30), locale), BigInt('9'.repeat(30)).toLocaleString(locale));
    return found;
}"""


@pytest.mark.parametrize(
    "locale",
    # The last four write in other ways: Indian groups, another calendar, other figures, another calendar's months.
    ["en-US", "en-GB", "en-AU", "en", "es-MX", "es-ES", "es-AR", "es", "en-IN", "th-TH", "ar-EG", "en-u-ca-islamic"],
)
def test_what_was_learned_once_is_what_the_browser_writes(page, locale):
    assert page.evaluate(DIFFERENCES, locale) == []


def test_days_stand_at_once_from_the_second_start_on(page):
    at_hand = "async () => (await import('/app/words.js')).daysAtHand.value"
    page.goto("/")
    page.wait_for_function("() => localStorage.getItem('coiltrail.written')")
    page.add_init_script("Intl.DateTimeFormat = undefined;")  # so that nobody could ask the browser anew
    page.reload()
    assert page.evaluate(at_hand) is True
    written = page.evaluate("async () => (await import('/app/words.js')).day(new Date(2031, 4, 9).getTime())")
    assert written == "May 9, 2031"


@pytest.mark.parametrize("kept", ["null", "7", "{not JSON"])
def test_what_was_kept_and_cannot_be_read_is_asked_anew(page, kept):
    page.evaluate("(kept) => localStorage.setItem('coiltrail.written', kept)", kept)
    page.goto("/")
    expect(page.get_by_role("button", name="Sign in")).to_be_visible()
    page.wait_for_function("() => localStorage.getItem('coiltrail.written').includes('dayOfYear')")

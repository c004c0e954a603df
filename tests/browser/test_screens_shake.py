"""The drop test measured by the phone: an engine on paper moves its sensor and is played to its microphone."""

import wave
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Page, expect

from coiltrail.core import entries

from ..core.running_engine import Running
from .conftest import CHROMIUM, PHONE, run
from .test_screens_accessibility import faults_of
from .worked_case import open_case, sign_in_here

MEASURED = 90_000  # ms; seven seconds and the thinking of a busy machine
ENGINE = Running(4, 750.0, dead=(3,), seed=3, seconds=30.0, snr_db=20.0, wander=0.001)
SAMPLES = ENGINE.samples()

# Lets the sensor of the page feel the engine from now on, at the times of its own samples.
FEEL = """(motion) => {
    const begun = performance.now();
    let next = 0;
    clearInterval(window.felt);
    window.felt = setInterval(() => {
        for (; motion.t[next] < performance.now() - begun; next += 1) {
            const accelerationIncludingGravity = { x: motion.x[next], y: motion.y[next], z: motion.z[next] };
            const event = new DeviceMotionEvent('devicemotion', { accelerationIncludingGravity });
            Object.defineProperty(event, 'timeStamp', { value: begun + motion.t[next] });
            dispatchEvent(event);
        }
    }, 10);
}"""
LEAVE = """() => {
    Object.defineProperty(document, 'hidden', { value: true, configurable: true });
    document.dispatchEvent(new Event('visibilitychange'));
    delete document.hidden;
}"""


def play(sound: dict, path: Path, rate: int = 48_000) -> None:
    """Noise as loud as ``sound`` says, as a file that Chromium gives its microphone again and again."""
    level = np.repeat(sound["level"], int(rate / sound["rate"]))
    noise = np.random.default_rng(1).normal(size=len(level)) * level / max(level) * 0.2
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes((np.clip(noise, -1, 1) * 32_000).astype("<i2").tobytes())


@pytest.fixture
def at_engine(playwright, shop, tmp_path):
    """A signed-in page of a phone that lies on the engine."""
    play(SAMPLES["sound"], tmp_path / "engine.wav")
    heard = [f"--use-file-for-fake-audio-capture={tmp_path / 'engine.wav'}"]
    fake = ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream", *heard]
    browser = playwright.chromium.launch(**CHROMIUM | {"args": CHROMIUM["args"] + fake})
    phone = browser.new_context(base_url=shop.address, **PHONE)
    yield sign_in_here(phone)
    browser.close()


def key(page: Page, name: str):
    return page.get_by_role("button", name=name, exact=True)


def begin(page: Page) -> str:
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/drop")
    page.get_by_role("radio", name="Unplugging the injector").tap()
    page.get_by_text("Let the phone measure", exact=True).tap()
    return case


def bodies(page: Page, case: str, kind: str) -> list[dict]:
    return [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == kind]


def test_the_phone_proposes_a_finding_and_one_tap_takes_it(at_engine):
    page = at_engine
    case = begin(page)
    page.evaluate(FEEL, SAMPLES["motion"])
    key(page, "Measure with all cylinders").tap()
    expect(page.get_by_text("Hands off the phone")).to_be_visible()
    expect(page.get_by_text("All cylinders: 75")).to_be_visible(timeout=MEASURED)
    page.evaluate(FEEL, SAMPLES["motion"])
    key(page, "Measure without cylinder 1").tap()
    expect(page.get_by_text("Neither speed nor shake changed.")).to_be_visible(timeout=MEASURED)
    assert faults_of(page) == []
    key(page, "Take it: No change").tap()
    expect(page.get_by_role("heading", level=2, name="Cylinder 2", exact=True)).to_be_visible()
    expect(key(page, "Measure without cylinder 2")).to_be_visible()
    (shake,) = bodies(page, case, "shake_measured")
    (check,) = bodies(page, case, "check")
    assert shake["rpm"] == pytest.approx(ENGINE.mean_rpm, rel=0.01)
    assert shake["with"] == check["measured"]["with"] == ["motion", "sound"]
    assert (check["finding"], check["measured"]["proposed"], check["disabled"]) == ("none", "none", "injector")
    assert check["rpm_during"] == pytest.approx(shake["rpm"], rel=0.01)
    assert entries.body_rules("check", check) == []


def test_a_phone_without_sensors_says_so_and_the_round_goes_on_by_ear(new_phone):
    page = sign_in_here(new_phone())
    case = begin(page)
    key(page, "Measure with all cylinders").tap()
    expect(page.get_by_text("Cannot tell: nothing was measured. Go by ear.")).to_be_visible(timeout=MEASURED)
    expect(page.get_by_text("This phone gives no motion to a page. Go by ear.")).to_be_visible()
    key(page, "Measure with all cylinders").tap()
    expect(page.get_by_text("Measuring", exact=True)).to_be_visible(timeout=MEASURED)
    page.evaluate(LEAVE)
    expect(page.get_by_text("The page was left while it measured").first).to_be_visible(timeout=MEASURED)
    key(page, "Full drop").tap()
    expect(page.get_by_role("heading", level=2, name="Cylinder 2", exact=True)).to_be_visible()
    (check,) = bodies(page, case, "check")
    assert (check["finding"], "measured" in check) == ("full", False)


def thinned(motion: dict, keep) -> dict:
    """Only the samples at the times (ms) for which ``keep`` holds."""
    kept = [i for i, t in enumerate(motion["t"]) if keep(i, t)]
    return {name: [values[i] for i in kept] for name, values in motion.items()}


MOTION = SAMPLES["motion"]
STILL = MOTION | {"x": [0.0] * len(MOTION["t"]), "y": [0.0] * len(MOTION["t"]), "z": [9.8] * len(MOTION["t"])}


@pytest.mark.parametrize(
    ("motion", "words"),
    [
        (
            thinned(MOTION, lambda i, _: i % 3 == 0),
            "gives 20 samples a second; 40 are needed. Switch battery saving off",
        ),
        (thinned(MOTION, lambda _, t: t % 2000 > 500), "are missing"),
        (STILL, "no movement at all"),
        (None, "The motion sensor was refused. Allow it in the browser's settings, or go by ear."),
    ],
    ids=["20 Hz", "holes", "silent", "refused"],
)
def test_motion_that_is_no_use_and_a_refused_microphone_leave_the_round_to_the_ear(new_phone, motion, words):
    page = sign_in_here(new_phone())
    case = begin(page)
    page.evaluate(
        """(refused) => {
        navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException('', 'NotAllowedError'));
        if (refused) DeviceMotionEvent.requestPermission = async () => 'denied';
    }""",
        motion is None,
    )
    if motion:
        page.evaluate(FEEL, motion)
    key(page, "Measure with all cylinders").tap()
    expect(page.get_by_text(words).first).to_be_visible(timeout=MEASURED)
    expect(page.get_by_text("The microphone was refused.").first).to_be_visible()
    key(page, "Full drop").tap()
    expect(page.get_by_role("heading", level=2, name="Cylinder 2", exact=True)).to_be_visible()
    (check,) = bodies(page, case, "check")
    assert (check["finding"], "measured" in check) == ("full", False)


@pytest.mark.parametrize("events", ["none", "empty"])
def test_a_phone_without_motion_says_so_at_once_and_what_to_do_instead(new_phone, events):
    page = sign_in_here(new_phone(connected=True))
    case = open_case(page)
    page.goto(f"/#/case/{case}/shake")
    if events == "empty":
        nothing = "{ x: null, y: null, z: null }"
        page.evaluate(
            f"setInterval(() => dispatchEvent(new DeviceMotionEvent('devicemotion',"
            f" {{ accelerationIncludingGravity: {nothing} }})), 20)"
        )
    page.evaluate(
        """() => {
        window.counted = 0;
        new MutationObserver(() => { window.counted += document.querySelectorAll('[role=timer]').length; })
            .observe(document.body, { childList: true, subtree: true });
    }"""
    )
    key(page, "Measure").tap()
    told = page.locator(".measured-text")
    expect(told).to_have_text("This phone gives no motion to a page. Go by ear.", timeout=MEASURED)
    expect(page.get_by_text("Compare the misfire counters before and after the repair instead.")).to_be_visible()
    expect(page.get_by_text("Cannot tell")).to_have_count(0)
    assert page.evaluate("window.counted") == 0
    expect(key(page, "Keep it")).to_have_count(0)

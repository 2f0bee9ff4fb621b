"""The web face in a browser: every size, no mouse, every field named, a clean console."""

import os
from itertools import pairwise
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.faces.oil_logs import first, short_walks, worn
from tests.faces.shop import SHEET, made_log
from witnessmark.report import html

WIDTHS = (360, 820, 1280)
NAMES = (
    "start", "faulty", "plan", "drive", "unread", "verdict", "gone",
    "band", "film", "calibrate", "drift",
)  # fmt: skip

# Every visible text against the nearest background behind it: WCAG 2.2, 1.4.3 (relative
# luminance and contrast as defined there). Returns what falls below 4.5:1.
CONTRAST = """
() => {
  const rgb = text => (text.match(/[\\d.]+/g) || []).map(Number);
  const lum = c => {
    const [r, g, b] = c.map(v => v / 255).map(v =>
      v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const known = new Map();
  const behind = e => {
    if (!e) return [255, 255, 255];
    if (!known.has(e)) {
      const c = rgb(getComputedStyle(e).backgroundColor);
      known.set(e, c.length === 3 || c[3] > 0 ? c.slice(0, 3) : behind(e.parentElement));
    }
    return known.get(e);
  };
  const weak = [];
  for (const e of document.body.querySelectorAll("*")) {
    const own = [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim());
    if (!own || e.closest("svg") || !e.checkVisibility()) continue;
    const a = lum(rgb(getComputedStyle(e).color).slice(0, 3)), b = lum(behind(e));
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 4.5) weak.push(`${ratio.toFixed(2)} ${e.tagName} ${e.textContent.slice(0, 40)}`);
  }
  return weak;
}
"""

# What a finger has to hit, under 48 px high; what a page shows in letters under 12 px.
SMALL = """
() => [...document.querySelectorAll("button, a.button, .bar a, input:not([type=hidden]), select,"
       + "textarea, summary, a.row")]
  .filter(e => e.checkVisibility())
  .map(e => [e.closest(".choice") || e, e])
  .filter(([target]) => target.getBoundingClientRect().height < 47.9)
  .map(([target, e]) => `${e.tagName} ${e.textContent.trim() || e.name}`
       + ` ${target.getBoundingClientRect().height}`)
"""

NAMELESS = """
() => [...document.querySelectorAll("input:not([type=hidden]), select, textarea")]
  .filter(e => !e.labels.length || !e.labels[0].textContent.trim()).map(e => e.outerHTML)
"""

SETTLED = "() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"
HEIGHT = "document.documentElement.scrollHeight"
HEADINGS = "() => [...document.querySelectorAll('h1,h2,h3,h4')].map(h => Number(h.tagName[1]))"


def open_page(tab: Page, name: str, paths) -> None:
    if name == "faulty":
        tab.goto("/")
        tab.get_by_label("Or paste the build sheet here").fill(SHEET.replace("84.00 mm", "84 bar"))
        tab.get_by_role("button", name="Make the plan").click()
        return
    where = {
        "start": "/", "plan": paths.plan, "drive": f"{paths.plan}/drive?phase={paths.phase}",
        "unread": paths.unread, "verdict": paths.verdict, "gone": "/plans/gone",
        "band": paths.plan + "/band", "film": paths.plan + "/film",
        "calibrate": paths.plan + "/calibrate", "drift": paths.plan + "/drift",
    }  # fmt: skip
    tab.goto(where[name])


@pytest.fixture(scope="package")
def shots():
    """A folder for pictures to be looked at, named in SHOTS; None where nobody will look."""
    folder = os.environ.get("SHOTS")
    return Path(folder) if folder else None


@pytest.mark.parametrize("name", NAMES)
def test_every_page_at_every_size(tab, paths, shots, name):
    open_page(tab, name, paths)
    fits_every_size(tab, name, shots)


def fits_every_size(tab: Page, name: str, shots) -> None:
    """No sideways scroll, targets a finger can hit, letters that stand out, at every width."""
    can_be_listened_to(tab)
    for width in WIDTHS:
        tab.set_viewport_size({"width": width, "height": 900})
        tab.evaluate(SETTLED)
        wide = tab.evaluate("document.documentElement.scrollWidth")
        if shots:  # the first screens only: a plan is 70,000 px long on a phone
            first = {"x": 0, "y": 0, "width": width, "height": min(3000, tab.evaluate(HEIGHT))}
            tab.screenshot(path=shots / f"{name}-{width}.png", full_page=True, clip=first)
        assert wide <= width, f"{name} is {wide} px wide at {width}"
        assert tab.evaluate(SMALL) == []
        assert tab.evaluate(CONTRAST) == []


def can_be_listened_to(tab: Page) -> None:
    """Headings in order, no field without a name, a title and a language."""
    levels = tab.evaluate(HEADINGS)
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert tab.evaluate(NAMELESS) == []
    assert tab.title()
    assert tab.locator("html").get_attribute("lang") == "en"


def tab_to(tab: Page, wanted) -> None:
    for _ in range(30):
        tab.keyboard.press("Tab")
        if wanted.evaluate("e => e === document.activeElement"):
            outline = wanted.evaluate("e => getComputedStyle(e).outlineStyle")
            assert outline != "none", "nobody sees where the keyboard is"
            return
    raise AssertionError("the Tab key does not lead there")


def test_from_start_to_plan_to_log_with_the_keyboard_alone(tab, paths):
    tab_to(tab, tab.get_by_role("link", name="Skip to the content"))
    tab.keyboard.press("Enter")
    tab_to(tab, tab.get_by_label("Or paste the build sheet here"))
    tab.keyboard.insert_text(SHEET)
    tab_to(tab, tab.get_by_role("button", name="Make the plan"))
    tab.keyboard.press("Enter")
    expect(tab.get_by_role("heading", level=1)).to_have_text("TS-0417")
    panel = tab.get_by_role("region", name="This plan")
    tab_to(tab, panel.locator("a[href*='/drive?phase=']").last)
    tab.keyboard.press("Enter")
    expect(tab.get_by_role("heading", level=1)).to_have_text("Send a drive log")


def test_a_drive_by_the_names_of_its_fields(tab, paths, tmp_path, monkeypatch):
    monkeypatch.setattr(html, "charts", lambda *_: [])  # drawn for the pages looked at above
    log = tmp_path / "first drive.csv"
    log.write_bytes(made_log(top=4600))
    tab.goto(paths.plan + "/drive")
    tab.locator(f"input[value={paths.phase}]").check()
    tab.get_by_label("Drive log", exact=True).set_input_files(log)
    tab.get_by_label("Columns put right").fill("Oil temp [°C]=ignore")
    tab.get_by_role("button", name="Judge the drive").click()
    expect(tab.get_by_text("first drive.csv").first).to_be_visible()
    tab.get_by_label("Columns put right").fill("")
    tab.get_by_role("button", name="Judge again").click()
    expect(tab.get_by_text("first drive.csv").first).to_be_visible()


def test_a_saved_plan_leads_to_its_log(tab, paths, tmp_path):
    tab.goto(paths.plan)
    with tab.expect_download() as saving:
        tab.get_by_role("link", name="Frozen plan").click()
    saved = tmp_path / "plan.json"
    saving.value.save_as(saved)
    tab.goto("/")
    tab.get_by_label("The plan the drive belongs to").set_input_files(saved)
    tab.get_by_role("button", name="Go on to the drive log").click()
    expect(tab.get_by_role("heading", level=1)).to_have_text("Send a drive log")


def test_faults_come_first_and_take_the_keyboard(tab, paths):
    open_page(tab, "faulty", paths)
    alert = tab.get_by_role("alert")
    expect(alert).to_be_focused()
    expect(alert).to_contain_text("layout.bore")
    assert tab.title().startswith("To put right")
    field = tab.get_by_label("Or paste the build sheet here")
    assert "84 bar" in field.input_value()


def test_a_file_too_large_gets_its_page_and_not_a_broken_line(tab, paths, tmp_path):
    big = tmp_path / "big.csv"
    with big.open("wb") as file:
        file.truncate(101_500_000)
    tab.goto(f"{paths.plan}/drive?phase={paths.phase}")
    tab.get_by_label("Drive log", exact=True).set_input_files(big)
    tab.get_by_role("button", name="Judge the drive").click()
    expect(tab.get_by_role("heading", level=1)).to_have_text("The file is too large")


def test_logs_teach_and_tell_what_changed(tab, paths, shots, tmp_path):
    for name, log in (("first.csv", first()), ("worn.csv", worn())):
        (tmp_path / name).write_bytes(log)
    tab.goto(paths.plan + "/calibrate")
    tab.get_by_label("A log of this engine").set_input_files(tmp_path / "first.csv")
    with short_walks():
        tab.get_by_role("button", name="Learn from it").click()
        answer = tab.get_by_role("region", name="What the log told")
        expect(answer).to_contain_text("Relief opens at")
    fits_every_size(tab, "calibration", shots)
    tab.goto(paths.plan + "/drift")
    tab.get_by_label("First log").set_input_files(tmp_path / "first.csv")
    tab.get_by_label("Second log", exact=True).set_input_files(tmp_path / "worn.csv")
    tab.get_by_role("button", name="What changed?").click()
    answer = tab.get_by_role("region", name="Answer on worn.csv")
    expect(answer).to_contain_text("Changed: bearing leakage")
    # The answer stands above everything else to be read or pressed.
    assert tab.evaluate("document.querySelector('main > *').className").startswith("answer")
    fits_every_size(tab, "changed", shots)


def test_a_reading_is_answered_before_its_form_comes_again(tab, paths, shots):
    tab.goto(paths.plan + "/band")
    for label, text in (("Oil pressure", "20 psi"), ("Engine speed", "3000 rpm"),
                        ("Oil temperature", "95 °C")):  # fmt: skip
        tab.get_by_label(label).fill(text)
    tab.get_by_role("button", name="Is it right?").click()
    answer = tab.get_by_role("region", name="The answer")
    expect(answer).to_contain_text("20 psi at 3,000 rpm")
    above = answer.bounding_box()["y"]
    assert above < tab.get_by_label("Oil pressure").bounding_box()["y"]
    fits_every_size(tab, "reading", shots)

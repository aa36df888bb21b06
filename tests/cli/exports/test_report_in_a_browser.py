"""Reports in a real browser without a window: nothing is asked for, and it prints."""

import json
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = pytest.mark.skipif(BROWSER is None, reason="Chromium is not installed")
PATIENCE = 120.0
"""[s]"""
OWN = "not an origin"
"""What the browser's log says of a request that no page made."""


def browse(folder: Path, *words: str) -> str:
    """Call the browser; gives what it prints."""
    assert BROWSER is not None
    return subprocess.run(
        [
            BROWSER,
            *("--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"),
            *("--disable-component-update", "--no-first-run", "--disable-sync"),
            f"--user-data-dir={folder / 'user'}",
            *words,
        ],
        check=True,
        capture_output=True,
        text=True,
        timeout=PATIENCE,
        cwd=folder,
    ).stdout


def opened(page: Path, folder: Path) -> tuple[str, set[str]]:
    """A page as the browser has it in the end, and the addresses that it asked for, by the
    browser's own log; what the browser asks for by itself has no page as its initiator.
    """
    log = folder / "requests.json"
    shown = browse(folder, f"--log-net-log={log}", "--dump-dom", page.as_uri())
    found = json.loads(log.read_text("utf-8"))
    begun = found["constants"]["logEventTypes"]["URL_REQUEST_START_JOB"]
    asked = {
        event["params"]["url"]
        for event in found["events"]
        if event["type"] == begun and event.get("params", {}).get("initiator", OWN) != OWN
    }
    return shown, {url for url in asked if not url.startswith(("file:", "chrome:"))}


@pytest.fixture(params=[("week", "--from", "2026-03-23"), ("wheel", "2")], ids=["week", "wheel"])
def report(request: pytest.FixtureRequest, export: Callable[..., Result], tmp_path: Path) -> Path:
    out = tmp_path / "report.html"
    assert export(*request.param, "--out", str(out)).exit_code == 0
    return out


def test_a_browser_runs_nothing_and_asks_for_nothing(report: Path, tmp_path: Path) -> None:
    shown, asked = opened(report, tmp_path)
    assert asked == set()
    assert "<script" not in shown
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in shown
    assert "<svg" in shown


def test_the_policy_of_a_report_holds_back_what_somebody_puts_into_it(
    report: Path, tmp_path: Path
) -> None:
    alien = "<script>document.title = 'ran'</script><img src='http://127.0.0.1:9/x.png'></body>"
    whole = report.read_text("utf-8")
    report.write_text(whole.replace("</body>", alien), "utf-8")
    shown, asked = opened(report, tmp_path)
    assert (asked, "<title>ran</title>" in shown) == (set(), False)

    # Without the policy the same page does both, so that the test can fail.
    start = whole.index("<meta http-equiv")
    bare = whole.replace(whole[start : whole.index(">", start) + 1], "")
    report.write_text(bare.replace("</body>", alien), "utf-8")
    shown, asked = opened(report, tmp_path)
    assert (asked, "<title>ran</title>" in shown) == ({"http://127.0.0.1:9/x.png"}, True)


def test_it_prints_to_pages(report: Path, tmp_path: Path) -> None:
    paper = tmp_path / "paper.pdf"
    browse(tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={paper}", report.as_uri())
    content = paper.read_bytes()
    assert content.startswith(b"%PDF-")
    assert content.count(b"/Type /Page\n") + content.count(b"/Type /Page ") >= 2

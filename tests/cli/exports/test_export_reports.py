"""`cavewatch export week` and `export wheel`: one HTML file that holds all it shows."""

from collections.abc import Callable
from datetime import datetime
from html.parser import HTMLParser
from pathlib import Path

import pytest
from click.testing import Result

from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.core.record.cautions import AUTHORITY, LISTERIA
from cavewatch.store import Store

Export = Callable[..., Result]
REPORTS = (("week", "--from", "2026-03-23"), ("wheel", "1"))


class Reader(HTMLParser):
    """Reads a page into its tags, and the text under each heading."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.sections: dict[str, str] = {}
        self.struck: list[str] = []
        self._open: list[str] = []
        self._section = ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag != "meta":
            self._open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self._open and self._open[-1] == "h2":
            self._section = data
        if "del" in self._open:
            self.struck.append(data)
        if self._open[-1:] == ["style"]:
            return
        words = " ".join(data.split())
        self.sections[self._section] = f"{self.sections.get(self._section, '')} {words}".strip()


@pytest.fixture(params=REPORTS, ids=["week", "wheel"])
def page(request: pytest.FixtureRequest, export: Export, tmp_path: Path) -> str:
    out = tmp_path / "report.html"
    said = export(*request.param, "--out", str(out))
    assert said.exit_code == 0, said.output
    return out.read_text(encoding="utf-8")


@pytest.fixture
def week(export: Export, tmp_path: Path) -> Reader:
    out = tmp_path / "week.html"
    export("week", "--from", "2026-03-23", "--out", str(out))
    return Reader(out.read_text(encoding="utf-8"))


def test_nothing_in_it_runs_or_asks_for_anything(page: str) -> None:
    reader = Reader(page)
    names = {tag for tag, _ in reader.tags}
    loaded = {"script", "link", "img", "iframe", "object", "embed", "a", "form", "base", "use"}
    assert names.isdisjoint(loaded)
    attributes = {name for _, given in reader.tags for name in given}
    assert attributes.isdisjoint({"src", "href", "xlink:href", "style", "action", "srcset"})
    assert not any(name.startswith("on") for name in attributes)
    assert "url(" not in page
    assert "@import" not in page
    [policy] = [g["content"] for _, g in reader.tags if "http-equiv" in g]
    assert policy == "default-src 'none'; style-src 'unsafe-inline'"


def test_it_can_be_printed(page: str) -> None:
    assert "@page" in page
    assert "@media print" in page
    # Grey apart, no colour: nothing hangs on what a printer leaves out.
    fills = {g.get("fill") for _, g in Reader(page).tags} | {
        g.get("stroke") for _, g in Reader(page).tags
    }
    assert fills <= {None, "none", "#000", "#ddd", "#ccc", "#999"}


def test_hostile_text_stays_text(week: Reader, export: Export, tmp_path: Path) -> None:
    assert '=1+1<script>alert(1)</script>"&' in week.sections["Entries"]
    out = tmp_path / "wheel.html"
    export("wheel", "2", "--out", str(out))
    assert "<script>alert(1)</script>" in Reader(out.read_text("utf-8")).sections["Entries"]


@pytest.mark.parametrize("words", REPORTS, ids=["week", "wheel"])
def test_the_same_facts_make_the_same_bytes(
    export: Export, tmp_path: Path, words: tuple[str, ...]
) -> None:
    one, other = tmp_path / "one", tmp_path / "other"
    for out in (one, other):
        export(*words, "--out", str(out))
    assert one.read_bytes() == other.read_bytes()


def test_a_week_that_is_over_stays_as_it_is_whatever_comes_after(
    export: Export, store: Store, tmp_path: Path
) -> None:
    before, after = tmp_path / "before", tmp_path / "after"
    export("week", "--from", "2026-03-23", "--out", str(before))
    later = datetime.fromisoformat("2026-05-01T00:00:00+00:00").timestamp()
    store.add_readings([Reading(Channel("cave", Quantity.TEMPERATURE), later, 19.0)])
    export("week", "--from", "2026-03-23", "--out", str(after))
    assert before.read_bytes() == after.read_bytes()


def test_a_week_is_seven_days_of_the_dairys_clock(week: Reader) -> None:
    assert "2026-03-23 00:00" in week.sections[""]
    assert "2026-03-30 00:00" in week.sections[""]
    hours = week.sections["cave"].split("Sun 29 Mar ")[1:]
    assert len(hours) >= 23
    assert not any(text.startswith("01:00") for text in hours)


def test_the_hours_of_a_week_stand_with_lowest_mean_and_highest(week: Reader) -> None:
    assert "Tue 24 Mar 00:00 12.0 12.3 12.6 12" in week.sections["cave"]
    assert "Wed 25 Mar 11:00 no data 0 no data 0" in week.sections["cave"]


def test_values_are_shown_corrected_from_a_check_on(week: Reader) -> None:
    # By the formula of the readings: means of 90.25 and 90.08, the second with 1.3 added.
    assert "Fri 27 Mar 08:00 12.0 12.3 12.6 12 88.0 90.2 92.0 12" in week.sections["cave"]
    assert "Fri 27 Mar 10:00 12.0 12.3 12.6 12 89.3 91.4 93.3 12" in week.sections["cave"]
    assert "2026-03-27 09:00 cave.humidity table salt" in week.sections["Sensor checks"]


def test_gaps_are_told_with_their_length(week: Reader) -> None:
    said = week.sections["Gaps in the readings"]
    assert "cave.temperature 2026-03-25 09:56 2026-03-25 13:00 3 h 04 min" in said


def test_time_in_range_is_by_the_range_that_held(week: Reader) -> None:
    said = week.sections["Time in range"]
    assert "cave.temperature" in said
    assert "100.0 %" in said
    assert "no range" not in said


def test_an_alarm_stands_with_who_saw_it_and_what_was_done(week: Reader) -> None:
    said = week.sections["Alarms"]
    assert "2026-03-24 10:00 2026-03-24 12:30 low cave.temperature high: cave is too warm" in said
    assert "AB, 2026-03-24 11:00 product: wheels held; cause: fan (AB, 2026-03-24 14:00)" in said
    assert "cave.humidity low" not in said


def test_a_struck_entry_is_shown_struck_with_who_and_why(week: Reader) -> None:
    assert "wheel 1 weighed: 2.5 kg; as entered: grams_g 2530" in week.struck
    assert "struck by entry 7, AB, 2026-03-23 08:10: figures swapped" in week.sections["Entries"]
    assert not any("figures swapped" in text for text in week.struck)


def test_entries_tell_reasons_and_ends(week: Reader) -> None:
    said = week.sections["Entries"]
    assert "shelved cave.humidity low; until 2026-03-24 17:00; why: door" in said


def test_a_week_that_is_not_over_says_how_far_the_record_goes(
    export: Export, tmp_path: Path
) -> None:
    out = tmp_path / "w.html"
    export("week", "--from", "2026-03-30", "--out", str(out))
    reader = Reader(out.read_text("utf-8"))
    assert "2026-04-02 00:55 (as far as the record goes)" in reader.sections[""]
    assert "still there" in reader.sections["Alarms"]


def test_a_sensor_that_said_nothing_all_week_is_a_gap(
    export: Export, store: Store, tmp_path: Path
) -> None:
    later = datetime.fromisoformat("2026-05-04T00:00:00+00:00").timestamp()
    store.add_readings([Reading(Channel("cave", Quantity.TEMPERATURE), later, 12.0)])
    out = tmp_path / "w.html"
    export("week", "--from", "2026-04-20", "--out", str(out))
    said = Reader(out.read_text("utf-8")).sections
    assert (
        "cave.humidity 2026-04-20 00:00 2026-04-27 00:00 7 d 0 h" in (said["Gaps in the readings"])
    )
    assert "cave.temperature no data" in said["Time in range"]


def test_a_week_without_any_record_is_empty_and_says_so(export: Export, tmp_path: Path) -> None:
    out = tmp_path / "w.html"
    assert export("week", "--from", "2027-01-04", "--out", str(out)).exit_code == 0
    assert Reader(out.read_text("utf-8")).sections["Readings"] == "Readings none on record"


def test_a_wheel_has_its_milk_salting_places_weights_and_days(
    export: Export, tmp_path: Path
) -> None:
    out = tmp_path / "wheel.html"
    export("wheel", "1", "--out", str(out))
    said = Reader(out.read_text("utf-8")).sections
    assert "raw milk, 50 L, own herd" in said["Milk, cultures and pH"]
    assert "pH 6.45 of the milk" in said["Milk, cultures and pH"]
    assert "2026-03-20 11:00 in tub" in said["Salting"]
    assert "going in" in said["Brine"]
    assert "tub 2026-03-20 11:00 2026-03-21 10:00 23 h 00 min" in said["Where it stood"]
    assert "2026-03-26 08:00 2.3 kg (2330 g) entry 8" in said["Weights"]
    assert "2530" not in said["Weights"]
    assert "of 60, earliest" in said["Days that raw milk asks for"]
    assert AUTHORITY in said["Cautions"]
    assert "lot M-1" in said[""]
    assert "Wed 25 Mar 2026" in said["Temperature and humidity where it stood"]


def test_a_wheel_can_be_told_as_of_a_time(export: Export, tmp_path: Path) -> None:
    out = tmp_path / "wheel.html"
    export("wheel", "1", "--to", "2026-03-24", "--out", str(out))
    said = Reader(out.read_text("utf-8")).sections
    assert "2026-03-24 00:00" in said[""]
    assert "2026-03-26" not in said["Weights"]


def test_a_wheel_that_is_on_no_record_is_said(export: Export, tmp_path: Path) -> None:
    out = tmp_path / "wheel.html"
    said = export("wheel", "77", "--out", str(out))
    assert (said.exit_code, out.exists()) == (1, False)
    assert "there is no wheel 77 on record" in said.output


def test_cautions_stand_in_it_and_no_cheese_is_called_safe(page: str) -> None:
    said = Reader(page).sections
    assert LISTERIA in said["Cautions"]
    assert "does not say that a cheese is fit to eat" in said["Cautions"]
    assert "kept for 800 days" in said["How long records are kept"]
    assert not any("safe" in text.lower() for text in said.values())

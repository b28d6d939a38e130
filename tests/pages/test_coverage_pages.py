"""The manager's pages: lift by station, one lift, the day and its sheet."""

import csv
import re
import uuid
from collections.abc import Callable
from html.parser import HTMLParser
from io import StringIO

import pytest
from django.test import Client

from compaction.actions import sweep
from tests.builders import Site
from tests.maps.covered_site import RULE, make_covered_site, place

ROOT = "/p/kestrel-dike/"
SignIn = Callable[[str], Client]


@pytest.fixture
def covered(db: None) -> Site:
    return make_covered_site()


def text_of(client: Client, path: str) -> str:
    answer = client.get(ROOT + path)
    assert answer.status_code == 200, path
    return answer.content.decode()


class Tables(HTMLParser):
    """The tables of a page as rows of cells: (tag, attributes, text)."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tables: list[list[list[tuple[str, dict[str, str | None], str]]]] = []
        self.captions = 0
        self.inside = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "table":
            self.tables.append([])
        elif tag == "caption":
            self.captions += 1
        elif tag == "tr":
            self.tables[-1].append([])
        elif tag in ("td", "th"):
            self.inside = True
            self.tables[-1][-1].append((tag, dict(attrs), ""))

    def handle_endtag(self, tag: str) -> None:
        if tag in ("td", "th"):
            self.inside = False

    def handle_data(self, data: str) -> None:
        if self.inside:
            tag, attributes, text = self.tables[-1][-1][-1]
            self.tables[-1][-1][-1] = (tag, attributes, (text + data).strip())


def matrix_rows(page: str) -> dict[str, list[str]]:
    """Lift -> its squares as text, without the head."""
    table = Tables(page).tables[0]
    return {row[0][2].split()[0]: [cell[2] for cell in row[1:]] for row in table[1:]}


def test_each_square_says_passing_of_required_and_its_state(covered: Site, sign_in: SignIn) -> None:
    rows = matrix_rows(text_of(sign_in("m.dale"), "coverage"))
    assert list(rows) == ["4", "3", "2", "1"]  # the highest on top, as in the ground
    assert rows["1"] == ["1/1 tested"] * 4
    assert rows["2"] == ["1/1 tested"] * 3 + ["0/1 fails and is buried, 1 of 1 fail"]
    assert rows["3"] == ["1/1 tested", "0/1 untested", "1/1 tested", "0/1 untested"]
    assert rows["4"] == ["0/1 untested"] * 4


def test_the_table_has_heads_that_a_screen_reader_can_tell(covered: Site, sign_in: SignIn) -> None:
    found = Tables(text_of(sign_in("m.dale"), "coverage"))
    table = found.tables[0]
    assert [cell[2] for cell in table[0]] == ["Lift, area", "10+00", "11+00", "12+00", "13+00"]
    assert all(cell[0] == "th" and cell[1]["scope"] == "col" for cell in table[0])
    assert all(row[0][0] == "th" and row[0][1]["scope"] == "row" for row in table[1:])
    assert found.captions == len(found.tables)


def test_a_square_leads_to_its_place_on_the_map(covered: Site, sign_in: SignIn) -> None:
    client = sign_in("m.dale")
    page = text_of(client, "coverage")
    # 11+00 to 12+00 ft are 335.3 to 365.8 m
    assert 'href="map?lift=3&amp;at=main,335.3,365.8"' in page
    assert client.get(f"{ROOT}map?lift=3&at=main,335.3,365.8").status_code == 200


def test_width_area_and_alignment_can_be_chosen_and_nonsense_is_left_alone(covered: Site, sign_in: SignIn) -> None:
    client = sign_in("m.dale")
    assert [len(row) for row in matrix_rows(text_of(client, "coverage?width=200")).values()] == [2] * 4
    assert matrix_rows(text_of(client, "coverage?width=200"))["3"] == ["1/2 untested"] * 2
    for query in ("width=7", "width=-1", "width=x", "alignment=none", "area=<b>", "width=99999999999999999999"):
        assert len(matrix_rows(text_of(client, f"coverage?{query}"))["1"]) == 4


def test_figures_above_the_table_add_up(covered: Site, sign_in: SignIn) -> None:
    page = text_of(sign_in("m.dale"), "coverage")
    for state in ("failed", "short", "open", "released"):
        assert re.search(rf'count">1</span><span class="lift-state {state}"', page)
    assert "7 tests missing on 3 lifts" in re.sub(r"<[^>]+>", " ", page).replace("  ", " ")
    assert "2 lifts were placed over a lift that was not released" in page


def test_the_csv_has_the_same_figures_in_words(covered: Site, sign_in: SignIn) -> None:
    answer = sign_in("m.dale").get(f"{ROOT}coverage.csv")
    rows = list(csv.reader(StringIO(answer.content.decode("utf-8-sig"))))
    assert rows[0][-4:] == ["from 10+00", "from 11+00", "from 12+00", "from 13+00"]
    assert rows[2][:8] == ["3", "core", "short", rows[2][3], "4", "2", "2", "2"]
    assert rows[2][-4:] == ["1 of 1, tested", "0 of 1, untested", "1 of 1, tested", "0 of 1, untested"]


def test_an_area_with_unfriendly_letters_stays_text(covered: Site, sign_in: SignIn) -> None:
    place(covered, 5, 5, area='a"><b>/x', stations=("10+00", "11+00"))
    sweep.run_until_idle()
    client = sign_in("m.dale")
    page = text_of(client, "coverage")
    assert "<b>/x" not in page
    address = re.search(r'href="(lifts/a[^"]+)"', page)
    assert address
    assert client.get(ROOT + address[1]).status_code == 200


def test_without_anything_placed_the_page_says_what_goes_here(filled: object, sign_in: SignIn) -> None:
    from compaction.models import LiftCover

    LiftCover.objects.all().delete()
    assert "how often to test" in text_of(sign_in("m.dale"), "coverage")


def test_a_lift_tells_why_it_stands_as_it_does(covered: Site, sign_in: SignIn) -> None:
    client = sign_in("o.lake")
    page = text_of(client, "lifts/core/3")
    assert "4 tests required, 2 made, 2 passing; 2 more needed." in page
    assert "400 ft on this lift at one per 100 ft: 4 tests here." in page
    assert "One test in each 100 feet of a lift." in page
    assert "Placed over a lift that was not released." in page
    assert 'href="/p/kestrel-dike/lifts/core/2"' in page
    assert "Record why it is not tested" not in page  # an owner reads
    assert client.get(f"{ROOT}lifts/core/77").status_code == 404
    assert sign_in("x.outside").get(f"{ROOT}lifts/core/3").status_code == 404


def test_why_it_is_not_tested_is_recorded_once(covered: Site, sign_in: SignIn) -> None:
    client = sign_in("t.moss")
    key = str(uuid.uuid4())
    sent = {"client_uuid": key, "reason_code": "rock", "noted_at": "2026-06-05T10:00", "reason": "boulders at the toe"}
    for _ in range(2):
        answer = client.post(f"{ROOT}lifts/core/4/not-tested", sent)
        assert (answer.status_code, answer["Location"]) == (302, f"{ROOT}lifts/core/4")
    sweep.run_until_idle()
    page = text_of(client, "lifts/core/4")
    assert page.count("boulders at the toe") >= 1
    refused = client.post(f"{ROOT}lifts/core/4/not-tested", {**sent, "client_uuid": str(uuid.uuid4()), "reason": ""})
    assert refused.status_code == 422
    day = text_of(client, "?day=2026-06-05")
    assert "boulders at the toe" in day


def test_a_release_is_signed_on_the_figures_shown(db: None, sign_in: SignIn) -> None:
    make_covered_site(rule={**RULE, "signed_release": True})
    client = sign_in("e.stone")
    page = text_of(client, "lifts/core/1")
    assert "the release is to be signed" in page
    shown = re.search(r'name="basis_digest" value="([0-9a-f]{64})"', page)
    assert shown
    sent = {"client_uuid": str(uuid.uuid4()), "basis_digest": "0" * 64, "reason": "walked the lift"}
    refused = client.post(f"{ROOT}lifts/core/1/release", sent)
    assert refused.status_code == 422
    assert "figures of this lift moved" in refused.content.decode()
    answer = client.post(f"{ROOT}lifts/core/1/release", {**sent, "basis_digest": shown[1]})
    assert answer.status_code == 302
    sweep.run_until_idle()
    assert "Released by e.stone" in text_of(client, "lifts/core/1")
    assert "Release the lift" not in text_of(sign_in("t.moss"), "lifts/core/1")


def test_the_day_says_what_was_placed_and_tested(covered: Site, sign_in: SignIn) -> None:
    client = sign_in("m.dale")
    page = text_of(client, "?day=2026-06-02")
    plain = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page))
    # 400 ft by 60 ft by 8 in are 16,000 ft3, 592.6 yd3
    assert "Placed 593 yd³ on 1 lift; 1 by area and thickness" in plain
    assert "Required 4 on the lifts worked on" in plain
    assert "Made 4 this day" in plain
    assert "Passed 3 Failed 1 Awaited 0 Missing 1 on these lifts" in plain
    assert "2 lifts were placed over a lift that was not released" in plain
    assert "core lift 4: 4 missing" in plain
    assert "No test is dated this day, and nothing was placed." in text_of(client, "?day=2026-05-30")
    assert "No test is dated this day." in text_of(client, "?day=2026-06-04")


def test_the_day_is_that_of_the_project_not_of_utc(covered: Site, sign_in: SignIn) -> None:
    place(covered, 5, 7, stations=("10+00", "11+00"), placed_at="2026-06-07T23:30:00-06:00")  # 05:30 UTC on the 8th
    sweep.run_until_idle()
    client = sign_in("m.dale")
    assert 'href="/p/kestrel-dike/lifts/core/5"' in text_of(client, "?day=2026-06-07").split('id="h-failures"')[0]
    assert "nothing was placed" in text_of(client, "?day=2026-06-08")


def test_the_sheet_of_a_day_tells_who_was_told(covered: Site, sign_in: SignIn) -> None:
    page = text_of(sign_in("m.dale"), "day-sheet?day=2026-06-02")
    assert "299" in page
    assert "nobody on record" in page
    assert "Prepared by" in page
    found = Tables(page)
    assert found.captions == len(found.tables)


def test_the_profile_lists_elevations_without_a_test(covered: Site, sign_in: SignIn) -> None:
    page = text_of(sign_in("m.dale"), "profile?lift=all")
    [table] = Tables(page).tables
    told = [[cell[2] for cell in row[:5]] for row in table[1:]]
    # Lift 2 fails at 13+50 and lift 3 has no test there or at 11+50; lift 4 has none at all.
    assert told == [
        ["1", "11+00.00 to 12+00.00", "5101.4 to 5102.8 ft", "1.4 ft", "2.1 of 8.0 in"],
        ["2", "13+00.00 to 14+00.00", "5100.7 to 5102.8 ft", "2.1 ft", "3.1 of 8.0 in"],
    ]
    drawn = sign_in("m.dale").get(f"{ROOT}profile.svg?lift=all").content.decode()
    assert "2 stretches of elevation have no test" in drawn
    assert "Elevations without a test" not in text_of(sign_in("m.dale"), "profile?lift=3")
    # A lift with fill and no test yet, on a line without a design: nothing to put in a legend.
    assert sign_in("m.dale").get(f"{ROOT}profile.svg?lift=4").status_code == 200

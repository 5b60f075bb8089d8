"""A record is given out and a person is brought back, in a real browser."""

import json
import zipfile
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from charting.exchange.fhir.checks import problems_in
from tests.browser.people import demo_visit, sign_in
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL
from tests.charting.exchange import schema


@pytest.fixture
def page(device) -> Page:
    made: Page = device("desk", has_touch=True, accept_downloads=True).new_page()
    sign_in(made)
    return made


@pytest.fixture
def check(axe, look):
    def all_of_it(page: Page, name: str) -> None:
        axe(page)
        assert page.evaluate(TOO_SMALL, PRESSED) == [], name
        assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window"
        look(page, name)

    return all_of_it


def to_export(page: Page) -> None:
    """From a visit to the page of the person, and from there to what can be given out."""
    page.goto(demo_visit(page))
    page.get_by_role("region", name="Patient").get_by_role("link").first.click()
    page.wait_for_url("**/patients/**")
    page.get_by_role("link", name="Give out the record").click()
    page.wait_for_url("**/export/")


def downloaded(page: Page, button: str, folder: Path) -> Path:
    with page.expect_download() as waiting:
        page.get_by_role("button", name=button).first.click()
    file = folder / waiting.value.suggested_filename
    waiting.value.save_as(file)
    return file


def test_everything_of_a_person_is_one_file_that_opens_by_itself(page, check, device, axe, look, tmp_path):
    to_export(page)
    check(page, "export")
    file = downloaded(page, "Make the file with everything", tmp_path)
    assert file.name.startswith("record-") and file.suffix == ".zip"
    with zipfile.ZipFile(file) as whole:
        assert whole.testzip() is None
        whole.extractall(tmp_path)
        names = whole.namelist()
    assert {"index.html", "record.json", "fhir-bundle.json", "who-looked.html"} <= set(names)
    alone = device("desk").new_page()
    alone.goto((tmp_path / "index.html").as_uri())
    expect(alone.get_by_role("heading", level=1)).to_contain_text("Record of")
    axe(alone)
    look(alone, "export-first-page")
    alone.get_by_role("link", name="Who opened, printed or changed this record").click()
    expect(alone.get_by_role("cell", name="gave out whole record").first).to_be_visible()
    axe(alone)
    look(alone, "export-who-looked")


def test_what_was_exported_is_right_and_is_recognised_when_it_comes_back(page, check, tmp_path):
    to_export(page)
    document = json.loads(downloaded(page, "Make the file of", tmp_path).read_text())
    assert document["type"] == "document" and problems_in(document) == ()
    file = downloaded(page, "Make the file for another system", tmp_path)
    found = json.loads(file.read_text())
    assert found["type"] == "collection" and problems_in(found) == () and schema.errors_in(found) == []
    page.goto("/import/fhir/")
    page.locator("input[type=file]").set_input_files(file)
    page.get_by_role("button", name="Look at the file").click()
    expect(page.get_by_role("main")).to_contain_text("Recognised by a number that is on record here.")
    check(page, "import-person")

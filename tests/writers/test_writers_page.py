"""The page holds everything in one file, for every reader."""

from __future__ import annotations

import base64
import io
import re
from itertools import pairwise
from pathlib import Path

import lxml.html
import pytest
from PIL import Image
from sample_set import TURNS

from notelint.model import CAUTION, STAGES, Answer, Recheck, RecheckLine, Review
from notelint.writers import write
from notelint.writers.job import Job
from notelint.writers.page import make_page


@pytest.fixture(scope="module")
def text(review: Review, plan_set: Path) -> str:
    return make_page(Job(review, plan_set))


@pytest.fixture(scope="module")
def page(text: str) -> lxml.html.HtmlElement:
    return lxml.html.fromstring(text)


def test_nothing_is_fetched_and_nothing_runs(text: str, page: lxml.html.HtmlElement) -> None:
    assert not page.xpath("//script | //link | //iframe | //object | //form | //*[@onclick or @onload]")
    assert {link[:1] for link in page.xpath("//a/@href")} == {"#"}
    assert all(source.startswith("data:image/") for source in page.xpath("//img/@src"))
    assert "url(" not in page.xpath("string(//style)") and "@import" not in text
    assert "default-src 'none'" in page.xpath("string(//meta[@http-equiv]/@content)")


def test_links_lead_somewhere_and_ids_are_unique(page: lxml.html.HtmlElement) -> None:
    ids = page.xpath("//@id")
    assert len(ids) == len(set(ids))
    assert {link[1:] for link in page.xpath("//a/@href")} <= set(ids)
    assert {name for names in page.xpath("//@aria-labelledby") for name in names.split()} <= set(ids)


def test_questions_stand_in_order_of_stage(page: lxml.html.HtmlElement, review: Review) -> None:
    assert page.xpath("//section[@class='stage']/h3/@id") == [f"stage-{stage}" for stage in STAGES]
    assert page.xpath("//article/@id") == [f"q{q.number}" for q in review.questions]
    assert page.xpath("string(//article[@id='q4']/p[@class='question'])") == review.questions[3].question


def test_hostile_text_is_shown_not_obeyed(text: str, page: lxml.html.HtmlElement) -> None:
    assert "<script>alert" not in text and "&lt;script&gt;alert(1)" in text
    assert "\x07" not in text and "\u202e" not in text
    assert "<script>alert(1)</script>" in page.xpath("string(//article[@id='q7'])")


def test_each_question_with_a_place_has_a_crop_and_a_link_to_its_sheet(page: lxml.html.HtmlElement, review: Review) -> None:
    for question in review.questions:
        article = page.get_element_by_id(f"q{question.number}")
        pages = {f"#sheet-{where.page}" for where in question.where}
        assert set(article.xpath(".//figcaption//a/@href")) == pages
        assert len(article.xpath(".//img")) == len(pages)
        assert all(alt.startswith("Part of S-") for alt in article.xpath(".//img/@alt"))


def test_a_callout_that_stands_often_is_named_once_with_its_count(review: Review, plan_set: Path) -> None:
    first = review.questions[0]
    box = first.where[0].box
    many = tuple(first.where[0].model_copy(update={"box": box._replace(top=60.0 + 70 * i, bottom=70.0 + 70 * i)}) for i in range(9))
    made = make_page(Job(review.model_copy(update={"questions": (first.model_copy(update={"where": many}),)}), plan_set))
    article = lxml.html.fromstring(made).get_element_by_id("q1")
    assert len(article.xpath(".//img")) == 4
    names = article.xpath(".//figcaption//a/text() | ./ul[@class='places']//a/text()")
    assert "S-1, note 7 (2 times)" in names
    counts = [int(n.split("(")[1].split()[0]) if "times" in n else 1 for n in names]
    assert sum(counts) == 9


def test_each_sheet_is_embedded_once_with_its_questions_marked(page: lxml.html.HtmlElement, review: Review) -> None:
    figures = page.xpath("//figure[@class='sheet']")
    assert [figure.get("id") for figure in figures] == [f"sheet-{n}" for n in sorted(TURNS) if n < 6]
    sources = page.xpath("//img[contains(@src, 'image/webp')]/@src")
    assert len(sources) == len(figures) == len(set(sources))
    assert Image.open(io.BytesIO(base64.b64decode(sources[0].split(",")[1]))).width > 1000
    assert figures[0].xpath(".//div[@class='pin']//a/text()") == ["1", "3", "7"]
    left, top = (float(v) for v in re.findall(r"(?:left|top):([\d.]+)%", figures[0].xpath("string(.//div[@class='pin']/@style)")))
    box, sheet = review.questions[0].where[0].box, review.sheets[0]
    assert left == pytest.approx(100 * box.x0 / sheet.width, abs=0.01) and top == pytest.approx(100 * box.top / sheet.height, abs=0.01)


def test_wall_section_tells_each_state_in_words_and_by_line(page: lxml.html.HtmlElement, review: Review) -> None:
    drawing = page.xpath("//*[local-name()='svg']")[0]
    joints = page.xpath("//ol[@class='joints']/li")
    assert drawing.get("role") == "img" and "A: Roof to wall top, storey 2: not stated" in drawing.xpath(
        "string(.//*[local-name()='desc'])"
    )
    assert [li.xpath("string(.//span[@class='state'])") for li in joints] == [state.state for state in review.load_path.joints]
    said = drawing.xpath(".//*[local-name()='text'][contains(@class, 'state')]/text()")
    assert sorted(words.split(":")[0] for words in said) == sorted(state.state for state in review.load_path.joints)
    assert len(drawing.xpath(".//*[local-name()='polyline'][@class='tie part']")) == 2
    assert len(drawing.xpath(".//*[local-name()='text'][@class='ask']")) == 4
    css = page.xpath("string(//style)")
    assert re.search(r"tie\.part \{[^}]*stroke-dasharray", css) and re.search(r"leader\.no \{[^}]*stroke-dasharray", css)


@pytest.mark.parametrize(
    "words",
    [
        pytest.param("SECOND FLOOR FRAMING PLAN", id="the building's words"),
        pytest.param("given by the user", id="what the user said"),
        pytest.param("not found", id="what was not found"),
        pytest.param("Still needs: embedment", id="what a joint lacks"),
        pytest.param("10.78 in > 10 in", id="arithmetic"),
        pytest.param("14 ga. x 2-1/2 in.", id="hardware"),
        pytest.param("page 6: no readable text", id="not checked"),
        pytest.param("A rule could not run: strap-reach", id="rules not run"),
        pytest.param(CAUTION, id="caution"),
    ],
)
def test_page_says(page: lxml.html.HtmlElement, words: str) -> None:
    assert words in " ".join(page.text_content().split())


def test_page_is_usable_by_keyboard_and_screen_reader(page: lxml.html.HtmlElement) -> None:
    assert page.get("lang") == "en" and len(page.xpath("//main")) == 1 and len(page.xpath("//h1")) == 1
    assert page.xpath("//body/a[1]/@href") == ["#questions"]
    levels = [int(tag.tag[1]) for tag in page.xpath("//h1 | //h2 | //h3 | //h4")]
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert all(alt.strip() for alt in page.xpath("//img/@alt")) and not page.xpath("//img[not(@alt)]")
    assert all(scope in ("col", "row") for scope in page.xpath("//th/@scope")) and not page.xpath("//th[not(@scope)]")


def test_page_without_questions_says_so_and_approves_nothing(review: Review, plan_set: Path, tmp_path: Path) -> None:
    (path,) = write(review.model_copy(update={"questions": ()}), ["page"], tmp_path, plan_set=plan_set)
    text = path.read_text(encoding="utf-8")
    assert "Nothing to ask was found" in text and "no approval" in text


def test_comparison_shows_status_old_words_answers_and_what_is_answered(review: Review, plan_set: Path) -> None:
    first, second, *_, gone = review.questions
    said = Answer(key=first.key, answer="ST-3 is <b>14 ga.</b>", answered_by="the designer")
    lines = (
        RecheckLine(status="open", question=first, answer=said),
        RecheckLine(status="changed", question=second, old_words=second.where),
        RecheckLine(status="answered", question=gone, new_words=second.where),
    )
    made = make_page(Job(review.model_copy(update={"questions": (first, second)}), plan_set, Recheck(file="old.pdf", lines=lines)))
    page = lxml.html.fromstring(made)
    assert page.xpath("//span[@class='status']/text()") == ["still open", "still open, its words changed"]
    assert "ST-3 is <b>14 ga.</b>" in page.xpath("string(//article[@id='q1']/p[@class='answer'])")
    assert "ANCHOR BOLTS" in page.xpath("string(//article[@id='q2']/p[@class='before'])")
    assert gone.question[-15:] in page.xpath("string(//section[@id='answered'])") and "old.pdf" in page.xpath(
        "string(//h2[@id='answered-head'])"
    )

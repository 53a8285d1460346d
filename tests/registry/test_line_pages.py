"""The pages of lines, as a keeper meets them."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse

from registry import kin_tables, line_plots
from registry.charts.layout import LayoutFailed
from registry.models import Reckoning
from tests import make

from .umbral import line_of, umbral

pytestmark = pytest.mark.django_db
ONE = timedelta(days=1)
INLINE = re.compile(r"<style|<script(?![^>]*\bsrc=)|\sstyle=|\son[a-z]+=", re.IGNORECASE)
NASTY = "<script>alert(1)</script>"


@pytest.fixture
def keeper(client):
    """Return a browser in which somebody with every right has signed in."""
    client.force_login(make.user(superuser=True))
    return client


def address(name, animal, *more):
    """Return the address of a page of the line of an animal."""
    return reverse(name, args=[*line_of(animal).address, *more])


def text(answer):
    """Return a page as its words, without markup."""
    assert answer.status_code == 200
    plain = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", plain)


def rows(page, caption):
    """Return the cells of the rows of a table with such a caption."""
    table = next(t for t in re.findall(r"<table.*?</table>", page, re.S) if caption in t)
    found = re.findall(r"<tr>(.*?)</tr>", table, re.S)
    cells = (re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.S) for row in found)
    return [[re.sub(r"<[^>]+>|\s+", " ", cell).strip() for cell in row] for row in cells]


def test_an_empty_register_is_taught_what_a_line_is(keeper):
    assert "A line begins when animals of one collecting place arrive" in text(
        keeper.get(reverse("line-list"))
    )


def test_dying_lines_come_first_with_their_reasons(keeper):
    umbral()
    make.animal("LAST", sex="male")
    page = keeper.get(reverse("line-list")).content.decode()
    dying = rows(page, "the gravest first")
    assert dying[1][0].startswith("Dendrobates tinctorius")
    assert "One animal is left." in dying[1][-1]


def test_the_list_is_narrowed_to_a_taxon(keeper):
    umbral()
    other = make.animal()
    page = text(keeper.get(reverse("line-list"), {"taxon": other.taxon_id}))
    assert "Grey Mill" in page
    assert "Cerro Umbral" not in page


def test_the_list_is_narrowed_to_dying_lines(keeper):
    umbral()
    last = make.animal("LAST")
    page = text(keeper.get(reverse("line-list"), {"dying": "on", "on": "2022-12-01"}))
    assert str(last.locality) in page
    assert "Cerro Umbral" not in page


@pytest.mark.parametrize(
    "query",
    [
        {"taxon": "999999"},
        {"taxon": NASTY},
        {"taxon": "9" * 40},
        {"dying": NASTY},
        {"on": "yesterday"},
        {"on": "1066-01-01"},
        {"on": "9999-12-31"},
        {"on": "\x00"},
        {"unknown": "x" * 2000},
    ],
)
def test_nonsense_in_the_address_of_the_list_is_borne(keeper, query):
    umbral()
    answer = keeper.get(reverse("line-list"), query)
    assert answer.status_code == 200
    assert NASTY not in answer.content.decode()


def test_the_figures_of_the_male_who_laid_stand_on_the_page(keeper):
    page = keeper.get(address("line-show", umbral()["A"])).content.decode()
    table = rows(page, "Expected figures of the living")
    assert ["Gene diversity", "0.799"] in table
    assert ["Founder genome equivalents", "2.48"] in table


def test_once_settled_both_ways_of_counting_stand_side_by_side(keeper):
    page = keeper.get(address("line-show", umbral(sires=["A"])["A"])).content.decode()
    table = rows(page, "Expected figures of the living")
    assert ["Gene diversity", "0.792", "0.72"] in table
    assert ["Founder genome equivalents", "2.40", "1.79"] in table
    assert "Founders that never bred: B" in page


def test_an_untraced_share_is_said_beside_the_figure(keeper):
    animals = umbral(sires=["A"])
    for code in ("K1", "K2"):
        animals[code].descents.get(role="sire").withdrawn(by=make.user(), why="A slip.")
    page = text(keeper.get(address("line-show", animals["A"])))
    assert "Only 75 % of their ancestry is traced to the wild" in page
    assert "a missing parent counts as a new founder and flatters the figure" in page


def test_the_mean_kinship_list_begins_with_the_rarest_genes(keeper):
    page = keeper.get(address("line-show", umbral(sires=["A"])["A"])).content.decode()
    first, second = rows(page, "those with the rarest genes first")[1:3]
    assert first[0].startswith("B")
    assert (first[3], second[3]) == ("0.083", "0.208")


@pytest.mark.parametrize(("days", "count"), [(-1, "2.1.3"), (0, "1.1.3"), (1, "1.1.3")])
def test_the_page_answers_for_any_day(keeper, days, count):
    animals = umbral()
    make.departure(animals["B"], kind="death", day=make.DAY)
    on = make.DAY + days * ONE
    assert f"{count} living here" in text(
        keeper.get(address("line-show", animals["A"]), {"on": on.isoformat()})
    )


def test_a_line_of_unknown_locality_has_a_page(keeper):
    animal = make.animal(locality=None)
    assert "unknown locality" in text(keeper.get(address("line-show", animal)))


def test_a_line_nobody_is_left_of_says_so(keeper):
    animal = make.animal()
    make.departure(animal, kind="death", day=make.DAY)
    assert "Nobody of this line is living here" in text(keeper.get(address("line-show", animal)))


def test_young_of_several_places_belong_to_the_collection_of_none(keeper):
    mixed = make.animal(locality=make.locality("mixed Alder Ford x Grey Mill"))
    assert "belong to the collection of none" in text(keeper.get(address("line-show", mixed)))


@pytest.mark.parametrize("name", ["line-show", "line-plan", "line-alleles", "line-export"])
def test_there_is_no_page_of_a_line_that_does_not_exist(keeper, name):
    animal = make.animal()
    other = make.locality("Low Fen", make.taxon("Mantella aurantiaca"))
    for locality in (999_999, other.pk, 10**17, None):
        answer = keeper.get(reverse(name, args=[animal.taxon_id, locality]))
        assert answer.status_code == 404


@pytest.mark.parametrize("plot", line_plots.PLOTS)
def test_each_plot_has_its_table(keeper, plot):
    page = keeper.get(address("line-plot", umbral()["A"], plot)).content.decode()
    assert f'class="chart chart-{plot}"' in page
    assert "The same as a table" in page
    assert "<td>" in page


@pytest.mark.parametrize("plot", line_plots.PLOTS)
def test_a_page_that_waits_for_a_plot_gets_it_alone(keeper, plot):
    headers = {"HX-Request": "true"}
    page = keeper.get(address("line-plot", umbral()["A"], plot), headers=headers).content.decode()
    assert "<svg" in page
    assert "<html" not in page


@pytest.mark.parametrize("plot", line_plots.PLOTS)
def test_a_line_nobody_is_left_of_has_plots_of_nothing(keeper, plot):
    animal = make.animal()
    make.departure(animal, kind="death", day=make.DAY)
    assert keeper.get(address("line-plot", animal, plot)).status_code == 200


def test_the_line_leads_to_each_plot_without_scripts(keeper):
    animal = umbral()["A"]
    page = keeper.get(address("line-show", animal)).content.decode()
    for plot in line_plots.PLOTS:
        assert f'href="{address("line-plot", animal, plot)}"' in page


def test_a_plot_that_cannot_be_drawn_says_why(keeper, monkeypatch):
    def fails(census, on):
        raise LayoutFailed("The picture was not ready within 60 seconds.")

    monkeypatch.setitem(line_plots.PLOTS, "ages", fails)
    page = text(keeper.get(address("line-plot", umbral()["A"], "ages")))
    assert "was not ready within 60 seconds" in page


def test_a_map_that_takes_long_is_asked_for_and_kept(keeper, monkeypatch):
    monkeypatch.setattr(kin_tables, "MANY", 2)
    where = address("line-plot", umbral()["A"], "kinship")
    assert "Work the map out" in text(keeper.get(where))
    assert keeper.post(where).headers["Location"] == where
    assert Reckoning.objects.get().state == "done"
    assert 'class="chart chart-kinship"' in keeper.get(where).content.decode()


def test_the_mean_kinship_list_is_exported_without_formulas(keeper):
    animals = umbral(sires=["A"])
    animals["B"].code, animals["B"].name = "=1+1", "@SUM(A1)"
    animals["B"].save()
    answer = keeper.get(address("line-export", animals["A"]))
    lines = b"".join(answer.streaming_content).decode("utf-8-sig").splitlines()
    assert lines[0] == "code,name,sex,born,mean kinship,traced share,bred,founder"
    assert lines[1].startswith("'=1+1,'@SUM(A1),")
    assert lines[1].endswith(",0.083333,1.0000,no,yes")
    assert len(lines) == 7


def test_exporting_asks_for_the_right(client):
    animal = umbral()["A"]
    client.force_login(make.user())
    assert client.get(address("line-export", animal)).status_code == 403
    assert "line-export" not in client.get(address("line-show", animal)).content.decode()
    client.force_login(make.user(rights=["registry.export_register"]))
    assert client.get(address("line-export", animal)).status_code == 200


@pytest.mark.parametrize("name", ["line-list", "line-show", "line-plan", "line-alleles"])
def test_a_stranger_is_sent_to_sign_in(client, name):
    where = reverse(name) if name == "line-list" else address(name, umbral()["A"])
    assert client.get(where).status_code == 302


@pytest.mark.parametrize("name", ["line-list", "line-show", "line-plan", "line-alleles"])
def test_names_people_typed_are_never_taken_for_markup(keeper, name):
    place = make.locality(NASTY)
    animal = make.animal("x", name=NASTY, locality=place)
    make.animal("y", locality=place, sex="female")
    where = reverse(name) if name == "line-list" else address(name, animal)
    page = keeper.get(where).content.decode()
    assert NASTY not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page


@pytest.mark.parametrize(
    ("name", "more"),
    [
        ("line-list", []),
        ("line-show", []),
        ("line-plan", []),
        ("line-alleles", []),
        *[("line-plot", [plot]) for plot in line_plots.PLOTS],
    ],
)
def test_no_page_has_a_style_or_a_script_written_into_it(keeper, name, more):
    animal = umbral()["A"]
    where = reverse(name) if name == "line-list" else address(name, animal, *more)
    assert not INLINE.findall(keeper.get(where).content.decode())


@pytest.fixture
def large_register():
    """Return an animal of a line in a register of 150."""
    animals = umbral()
    for number in range(70):
        make.young(animals["K1" if number % 2 else "K2"], locality=animals["A"].locality)
    for number in range(74):
        make.animal(locality=make.locality(f"Place {number % 7}"))
    return animals["A"]


@pytest.mark.parametrize("name", ["line-list", "line-show"])
def test_a_page_takes_few_queries_on_a_register_of_150(
    keeper, large_register, name, django_assert_max_num_queries
):
    where = reverse(name) if name == "line-list" else address(name, large_register)
    with django_assert_max_num_queries(20):
        assert keeper.get(where).status_code == 200

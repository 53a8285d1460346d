"""Photographs of several animals side by side."""

from datetime import date
from io import BytesIO

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse
from PIL import Image

from registry.models import Mark
from registry.side_by_side import MOST_ANIMALS, MOST_EACH, side_by_side
from tests import make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]


@pytest.fixture
def keeper(client):
    """Return a browser in which somebody with every right has signed in."""
    client.force_login(make.user(superuser=True))
    return client


def photo(animal, day, value=""):
    kept = BytesIO()
    Image.new("RGB", (4, 3), "green").save(kept, "JPEG")
    file = ContentFile(kept.getvalue(), name="one.jpg")
    return Mark.objects.create(animal=animal, kind="photograph", day=day, value=value, photo=file)


def test_each_has_its_own_the_newest_first_and_what_was_withdrawn_is_left_out():
    a, b, c = make.animal("A"), make.animal("B"), make.animal("C")
    old, new = photo(a, date(2026, 3, 2)), photo(a, date(2026, 4, 2))
    photo(b, date(2026, 3, 2)).withdrawn(by=make.user(), why="It was A.")
    Mark.objects.create(animal=c, kind="ring", value="7", day=date(2026, 3, 2))
    found = {one.animal.code: one.photos for one in side_by_side([b, a, c])}
    assert found == {"B": (), "A": (new, old), "C": ()}
    assert list(found) == ["B", "A", "C"]


def test_of_very_many_the_newest_are_shown_and_the_others_counted(django_assert_num_queries):
    animals = [make.animal(), make.animal()]
    for n in range(MOST_EACH + 2):
        photo(animals[0], date(2026, 3, 1 + n))
    with django_assert_num_queries(1):
        one, two = side_by_side(animals)
    assert (len(one.photos), one.more, two.more) == (MOST_EACH, 2, 0)


def test_an_enclosure_shows_everybody_in_it_with_words_for_each_picture(keeper):
    tank = make.enclosure("E1")
    for code in ("A", "B"):
        make.stay(make.animal(code), tank)
    mark = photo(make.animal("X"), date(2026, 3, 2))
    make.stay(mark.animal, tank)
    Mark.objects.filter(pk=mark.pk).update(value="<spot> on the left")
    page = keeper.get(reverse("enclosure-photographs", args=[tank.pk])).content.decode()
    assert 'alt="X, photographed on 2 Mar 2026: &lt;spot&gt; on the left"' in page
    assert page.count("No photograph yet.") == 2
    assert (
        reverse("enclosure-photographs", args=[tank.pk])
        in keeper.get(reverse("enclosure-show", args=[tank.pk])).content.decode()
    )


def test_chosen_ones_are_named_in_the_address(keeper):
    make.animal("A"), make.animal("B")
    way = reverse("photographs")
    page = keeper.get(way, {"animals": "b, A"}).content.decode()
    assert page.index(">B</a>") < page.index(">A</a>")
    for wrong, said in (("Z", "not on record"), ("A, a", "Named twice"), ("", "required")):
        answer = keeper.get(way, {"animals": wrong})
        assert said in str(answer.context["form"].errors)
        assert not answer.context["shown"]
    many = ", ".join(make.animal(f"M{n}").code for n in range(MOST_ANIMALS + 1))
    assert "at most 24" in str(keeper.get(way, {"animals": many}).context["form"].errors)
    assert keeper.get(way).status_code == 200

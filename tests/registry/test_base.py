"""The frame of every page: where one can go, what is loaded, how fields and objections speak."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from django import forms
from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse

from registry.objections import ask, impossible, note, stop
from registry.templatetags.places import PLACES, belongs
from tests import make

TEMPLATES = sorted((settings.BASE_DIR / "templates").rglob("*.html"))
STATIC = settings.BASE_DIR / "registry" / "static" / "registry"
FORBIDDEN = {
    "a style attribute": re.compile(r"<[^>]*\sstyle\s*=", re.I),
    "a style element": re.compile(r"<style\b", re.I),
    "a script written into the page": re.compile(r"<script\b(?![^>]*\ssrc=)", re.I),
    "an event attribute": re.compile(r"<[^>]*\son[a-z]+\s*=", re.I),
    "a javascript: address": re.compile(r"javascript:", re.I),
    "something loaded from elsewhere": re.compile(
        r"<(?!a\b)[^>]*\s(?:src|href|action)\s*=\s*[\"']?(?:https?:)?//", re.I
    ),
}


class Page(HTMLParser):
    """The tags of a page, each with its attributes, in order."""

    def __init__(self, html):
        super().__init__()
        self.tags = []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def all(self, tag, **wanted):
        """Return the attributes of each tag that has those wanted."""
        return [
            found
            for name, found in self.tags
            if name == tag and all(found.get(key) == value for key, value in wanted.items())
        ]

    def one(self, **wanted):
        """Return the attributes of the only tag with those wanted, whatever its name."""
        [found] = [
            found
            for _, found in self.tags
            if all(found.get(key) == value for key, value in wanted.items())
        ]
        return found


def shown(client, path, **person):
    """Return a page as somebody sees it who is signed in."""
    client.force_login(make.user(**person))
    return client.get(path)


def text(html):
    """Return what a page says, without its tags."""
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


class EggForm(forms.Form):
    """One field of each way to be tied to its error."""

    eggs = forms.IntegerField(min_value=1, help_text="Count them twice.")
    basis = forms.ChoiceField(choices=[("seen", "seen")], widget=forms.RadioSelect)
    alone = forms.BooleanField(label="Nobody else was there")
    note = forms.CharField(required=False)


# Where one can go


@pytest.mark.django_db
def test_every_place_that_exists_is_a_plain_link(client):
    html = shown(client, reverse("today")).content.decode()
    said = [link for link in Page(html).all("a") if "aria-current" in link]
    assert [link["href"] for link in said] == ["/"]
    assert re.findall(r'<a href="/animals/">(\w+)</a>', html) == ["Animals"]


def test_places_stand_in_the_order_of_the_design():
    assert [label for label, _ in PLACES] == [
        "Today",
        "Animals",
        "Pairings",
        "Quarantine",
        "Enclosures",
        "Lines",
        "Papers",
    ]


@pytest.mark.parametrize(
    ("here", "href", "expected"),
    [
        ("/animals/", "/animals/", True),
        ("/animals/3/", "/animals/", True),
        ("/animalsx/", "/animals/", False),
        ("/", "/", True),
        ("/animals/", "/", False),
    ],
)
def test_a_page_belongs_to_the_place_it_lies_below(here, href, expected):
    assert belongs(here, href) is expected


@pytest.mark.django_db
def test_the_first_link_skips_to_the_content(client):
    page = Page(shown(client, reverse("today")).content.decode())
    assert page.all("a")[0]["href"] == "#content"
    assert page.all("main")[0]["id"] == "content"


@pytest.mark.django_db
def test_who_is_not_signed_in_sees_no_places(client):
    page = Page(client.get(reverse("sign-in")).content.decode())
    assert page.all("nav") == []
    assert len(page.all("main")) == 1


@pytest.mark.django_db
def test_signing_out_is_an_act_and_not_a_link(client):
    page = Page(shown(client, reverse("today")).content.decode())
    assert page.all("form", method="post", action=reverse("sign-out"))
    assert page.all("a", href=reverse("sign-out")) == []


@pytest.mark.django_db
def test_only_staff_are_shown_the_way_to_administration(client):
    keeper = shown(client, reverse("today")).content.decode()
    staff = shown(client, reverse("today"), staff=True).content.decode()
    assert reverse("admin:index") not in keeper
    assert reverse("admin:index") in staff


@pytest.mark.django_db
def test_administration_leads_back_to_the_site(client):
    html = shown(client, reverse("admin:index"), staff=True, superuser=True).content.decode()
    assert "Kinward administration" in html
    assert '<a href="/">View site</a>' in html


@pytest.mark.django_db
def test_the_page_pieces_are_for_staff(client):
    assert shown(client, reverse("components")).status_code == 403
    assert shown(client, reverse("components"), staff=True).status_code == 200


@pytest.mark.django_db
def test_a_page_that_is_not_there_says_so_in_the_frame(client):
    answer = shown(client, "/nothing-of-the-kind/")
    assert answer.status_code == 404
    assert "There is no page at this address." in answer.content.decode()
    assert Page(answer.content.decode()).all("main")


def test_the_page_of_a_failure_needs_nothing_but_its_style():
    html = render_to_string("500.html")
    assert "Nothing was half saved." in html
    assert Page(html).all("script") == []


# What is loaded


def test_there_are_templates_to_look_at():
    assert len(TEMPLATES) > 15


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: "/".join(path.parts[-2:]))
def test_a_template_has_no_script_or_style_of_its_own(path):
    assert faults(path.read_text()) == []


@pytest.mark.parametrize(
    "html",
    [
        '<p style="color: red">',
        "<style>p {}</style>",
        "<script>go()</script>",
        '<a href="#" onclick="go()">',
        '<a href="javascript:go()">',
        '<img src="//elsewhere.example/a.png">',
        '<link rel="stylesheet" href="https://elsewhere.example/a.css">',
    ],
)
def test_what_is_forbidden_is_found(html):
    assert len(faults(html)) == 1


def faults(html):
    """Name what a template has that the security policy forbids."""
    return [name for name, sign in FORBIDDEN.items() if sign.search(html)]


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: "/".join(path.parts[-2:]))
def test_a_template_is_short(path):
    assert len(path.read_text().splitlines()) < 80


@pytest.mark.django_db
def test_every_page_carries_the_policy(client):
    for answer in (client.get(reverse("sign-in")), shown(client, reverse("today"))):
        policy = answer.headers["Content-Security-Policy"]
        assert "default-src 'self'" in policy
        assert "unsafe" not in policy


@pytest.mark.django_db
def test_a_page_loads_only_files_that_are_there(client):
    page = Page(shown(client, reverse("today")).content.decode())
    files = [link["href"] for link in page.all("link")] + [one["src"] for one in page.all("script")]
    assert len(files) > 5
    for path in files:
        assert path.startswith("/static/")
        answer = client.get(path)
        assert answer.status_code == 200
        answer.close()


def test_styles_stay_small_and_load_nothing():
    styles = [path.read_text() for path in STATIC.glob("*.css")]
    assert 0 < sum(map(len, styles)) < 40_000
    assert [word for style in styles for word in ("@import", "url(") if word in style] == []


# How fields speak


def test_an_error_is_tied_to_its_field():
    form = EggForm({"eggs": "0", "note": ""})
    page = Page(str(form))
    field = page.one(id="id_eggs")
    assert field["aria-invalid"] == "true"
    assert field["aria-describedby"].split() == ["id_eggs_helptext", "id_eggs_error"]
    assert page.one(id="id_eggs_error")["class"] == "errorlist"
    assert page.one(id="id_eggs_helptext")["class"] == "help"


def test_an_error_of_choices_is_tied_to_their_group():
    page = Page(str(EggForm({"eggs": "1"})))
    assert page.all("fieldset")[0]["aria-describedby"] == "id_basis_error"
    assert page.one(id="id_basis_error")


def test_an_error_of_a_tick_box_is_tied_to_it():
    page = Page(str(EggForm({"eggs": "1"})))
    assert page.one(id="id_alone")["aria-describedby"] == "id_alone_error"


def test_every_field_has_a_label_and_says_where_it_may_stay_empty():
    html = str(EggForm())
    labelled = {label.get("for") for label in Page(html).all("label")}
    assert {"id_eggs", "id_alone", "id_note", "id_basis_0"} <= labelled
    assert text(html).count("optional") == 1


def test_what_was_typed_stays_in_the_field():
    assert Page(str(EggForm({"eggs": "-3"}))).one(id="id_eggs")["value"] == "-3"


def test_help_that_somebody_typed_is_not_markup():
    class Typed(forms.Form):
        place = forms.CharField(help_text="<b>E10</b>", label="<i>where</i>")

    assert "&lt;b&gt;E10&lt;/b&gt;" in str(Typed())
    assert "<i>" not in str(Typed())


def test_an_error_about_the_whole_form_is_announced():
    class Never(EggForm):
        def clean(self):
            raise forms.ValidationError("The eggs came before the hen.")

    page = Page(str(Never({})))
    assert page.all("div", role="alert")
    assert "The eggs came before the hen." in str(Never({}))


# How objections speak


def objected(*objections, **more):
    """Return the objections as a page shows them."""
    return render_to_string("_objections.html", {"objections": objections, **more})


@pytest.mark.parametrize(
    ("made", "word"), [(stop, "Stop"), (ask, "Ask"), (note, "Note"), (impossible, "Stop")]
)
def test_an_objection_says_its_level_in_a_word(made, word):
    assert text(objected(made("E10 is full."))).startswith(f"{word} E10 is full.")


def test_a_word_that_a_style_adds_is_added_in_each_language():
    """What no page says, no catalogue can translate: the style has the word of each language."""
    style = "\n".join(path.read_text(encoding="utf-8") for path in STATIC.glob("*.css"))
    said = re.findall(r'([^{}]+?)\s*\{[^{}]*content: "([^"]*)"', style)
    worded = {s.strip() for s, text in said if re.search("[A-Za-z]{3}", text.replace("\\00A0", ""))}
    plain = {selector for selector in worded if ":lang(" not in selector}
    assert plain
    for selector in plain:
        for language, _ in settings.LANGUAGES[1:]:
            assert selector.replace("::before", f":lang({language})::before") in worded


def test_each_level_has_a_shape_of_its_own():
    style = (STATIC / "signals.css").read_text()
    shapes = re.findall(r"\.objections > \.(\w+)::before \{[^}]*clip-path: ([^;]+);", style)
    assert {level for level, _ in shapes} == {"stop", "ask", "note"}
    assert len({shape for _, shape in shapes}) == 3


def test_only_an_ask_wants_a_reason_and_keeps_it():
    asked = ask("E10 is full.")
    html = objected(stop("Held."), asked, note("Unsexed."), ask_reasons={asked.key: "One night <3"})
    assert [box["name"] for box in Page(html).all("textarea")] == [f"reason-{asked.key}"]
    assert "One night &lt;3" in html


def test_a_reason_that_is_missing_is_asked_for_at_its_box():
    asked = ask("E10 is full.")
    page = Page(objected(asked, reasons_missing=True))
    box = page.one(name=f"reason-{asked.key}")
    assert box["aria-invalid"] == "true"
    assert page.one(id=box["aria-describedby"])


def test_a_reason_that_is_given_is_no_error():
    asked = ask("E10 is full.")
    page = Page(objected(asked, reasons_missing=True, ask_reasons={asked.key: "One night."}))
    assert "aria-invalid" not in page.one(name=f"reason-{asked.key}")


def test_a_breach_can_be_entered_only_by_those_who_may():
    assert "breach-why" not in objected(stop("Held."))
    assert "breach-why" in objected(stop("Held."), can_breach=True)


def test_there_is_no_breach_without_a_stop():
    assert "breach-why" not in objected(ask("E10 is full."), can_breach=True)


def test_what_cannot_have_happened_is_no_breach():
    assert "breach-why" not in objected(stop("Held."), impossible("Dead."), can_breach=True)


def test_objections_that_are_only_told_want_nothing():
    assert Page(objected(ask("E10 is full."), plain=True)).all("textarea") == []


def test_nothing_is_shown_where_nothing_stands_against_it():
    assert objected().strip() == ""


# What every template keeps


def test_no_comment_is_left_in_a_template():
    left = [path for path in TEMPLATES if re.search(r"<!--|\{#", Path(path).read_text())]
    assert left == []

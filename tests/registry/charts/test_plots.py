"""Plots: safe, complete without colour, and the same figures as a table."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest

from registry.charts.ages import AgeClass, age_and_sex
from registry.charts.diversity import Standing, diversity_over_years
from registry.charts.founders import FounderShare, founder_shares
from registry.charts.funnel import StageCount, StageSum, clutch_funnel, joint_funnel
from registry.charts.heatmap import Kinships, TooManyToMap, kinship_map
from tests.registry.charts.make import NASTY, figure
from tests.registry.charts.test_drawing import _words, assert_safe


def _year(year, **facts):
    plain = {"animals": 6, "gene_diversity": 0.8, "genome_equivalents": 2.5, "traced": 1.0}
    return Standing(year=year, **(plain | facts))


def _kinships(size, **cells):
    """Make a matrix of unrelated animals, with the figures given by pair ("0_1")."""
    figures = [[figure(0.5 if a == b else 0) for a in range(size)] for b in range(size)]
    for pair, told in cells.items():
        a, b = map(int, pair.strip("_").split("_"))
        figures[a][b] = figures[b][a] = told
    return Kinships(
        codes=tuple(f"E-{n:02}" for n in range(size)), figures=tuple(map(tuple, figures))
    )


def test_the_last_figure_of_each_line_is_written_by_it():
    chart = diversity_over_years([_year(2024), _year(2025, gene_diversity=0.7921)])
    words = _words(assert_safe(chart.svg))
    assert words.count("0.79") == 1  # both series end there, so it is written once
    assert {"2024", "2025", "gene diversity", "founder genome equivalents", "traced share"} <= {
        *words
    }


def test_the_two_ways_to_count_differ_by_dash_shape_and_word():
    svg = diversity_over_years([_year(2024), _year(2025)], [_year(2024), _year(2025)]).svg
    words = _words(assert_safe(svg))
    assert {"all living", "without those that never bred"} <= set(words)
    assert 'stroke-dasharray="5,4"' in svg


def test_diversity_has_a_row_for_each_year_and_way_to_count():
    chart = diversity_over_years([_year(2025)], [_year(2025, gene_diversity=None)])
    assert chart.rows == (
        ("all living", "2025", "6", "0.8", "2.5", "1"),
        ("without those that never bred", "2025", "6", "unknown", "2.5", "1"),
    )
    assert len(chart.columns) == len(chart.rows[0])


def test_ages_have_males_females_and_unsexed_apart_with_their_numbers():
    chart = age_and_sex([AgeClass(age="3 years", males=2, females=11, unsexed=7)])
    words = _words(assert_safe(chart.svg))
    assert {"males (2)", "females (11)", "unsexed (7)", "3 years"} <= set(words)
    assert {"11", "7"} <= set(words)
    assert chart.rows == (("3 years", "2", "11", "7"),)


def test_founders_are_sorted_by_their_share():
    chart = founder_shares(
        [FounderShare(code="A", share=0.25), FounderShare(code="B", share=0.75, kept=0.5)]
    )
    assert chart.rows == (("B", "75.0 %", "50.0 %"), ("A", "25.0 %", "not computed"))
    assert "75.0 %, keeps 50.0 % of its alleles" in _words(assert_safe(chart.svg))


def test_two_founders_of_one_code_are_two_bars():
    words = _words(assert_safe(founder_shares([FounderShare(code="A", share=0.5)] * 2).svg))
    assert {"A", "A (2)"} <= set(words)


def test_a_funnel_counts_from_the_first_stage_and_says_what_nobody_counted():
    stages = [("laid", 20), ("fertile", None), ("hatched", 15), ("independent", 0)]
    chart = clutch_funnel("Clutch K1", [StageCount(stage=s, count=c) for s, c in stages])
    assert chart.rows == (
        ("laid", "20", "100 %"),
        ("fertile", "not counted", ""),
        ("hatched", "15", "75 %"),
        ("independent", "0", "0 %"),
    )
    words = _words(assert_safe(chart.svg))
    assert {"20 (100 %)", "? not counted", "15 (75 %)", "0 (0 %)"} <= set(words)


def test_several_clutches_are_summed_and_what_is_unknown_is_said_beside():
    chart = joint_funnel(
        "Clutches",
        [
            StageSum(stage="laid", count=20, clutches=3, share=1.0),
            StageSum(stage="fertile", count=8, clutches=1, unknown=2, share=0.8),
            StageSum(stage="hatched", count=None, clutches=0, unknown=1),
        ],
    )
    assert chart.rows == (
        ("laid", "20", "100 %", "3", "0"),
        ("fertile", "8", "80 %", "1", "2"),
        ("hatched", "not counted", "", "0", "1"),
    )
    words = _words(assert_safe(chart.svg))
    assert {"20 (100 %)", "8 (80 %, 2 clutches not counted)", "? not counted"} <= set(words)


def test_a_funnel_with_nothing_counted_is_drawn():
    rows = clutch_funnel("K", [StageCount(stage="laid", count=0)]).rows
    assert rows == (("laid", "0", ""),)


def test_kinship_is_written_below_the_diagonal_and_drawn_above_it():
    chart = kinship_map(_kinships(3, _0_1=figure(0.25), _1_2=figure(0.1875, 0.25)))
    words = _words(assert_safe(chart.svg))
    assert words.count("0.25") == 2  # the cell and the key
    assert "0.1875" in words
    assert chart.columns == ("", "E-00", "E-01", "E-02")
    assert chart.rows[1] == ("E-01", "0.25", "0.5", "0.1875, at worst 0.25")


def test_a_worst_case_above_the_expected_one_is_a_hollow_square():
    certain = kinship_map(_kinships(2, _0_1=figure(0.125))).svg
    doubtful = kinship_map(_kinships(2, _0_1=figure(0.125, 0.25))).svg
    assert 'stroke="currentColor" stroke-width="1.2"' not in certain
    assert 'stroke="currentColor" stroke-width="1.2"' in doubtful


@pytest.mark.parametrize(("size", "written"), [(23, True), (24, True), (25, False)])
def test_figures_are_written_up_to_24_animals(size, written):
    chart = kinship_map(_kinships(size, _0_1=figure(0.1875)))
    assert ("0.1875" in _words(assert_safe(chart.svg))) == written
    assert chart.rows[0][2] == "0.1875"


def test_sixty_animals_are_mapped_and_one_more_is_refused():
    assert len(kinship_map(_kinships(60)).rows) == 60
    with pytest.raises(TooManyToMap, match="61 animals on each side, and 60 is the most"):
        kinship_map(_kinships(61))


def test_whatever_is_typed_is_shown_as_text():
    charts = [
        age_and_sex([AgeClass(age=nasty, males=1, females=2, unsexed=3) for nasty in NASTY]),
        founder_shares([FounderShare(code=nasty, share=1.0) for nasty in NASTY]),
        clutch_funnel(" ".join(NASTY), [StageCount(stage=nasty, count=3) for nasty in NASTY]),
        kinship_map(replace(_kinships(len(NASTY)), codes=NASTY)),
    ]
    for chart in charts:
        words = _words(assert_safe(chart.svg))
        assert {"<>", "two lines and a tab"} <= set(words)
        assert len(chart.rows) == len(NASTY)


@pytest.mark.parametrize(
    "chart",
    [
        lambda: diversity_over_years([]),
        lambda: diversity_over_years([_year(2025, gene_diversity=None, traced=None)]),
        lambda: age_and_sex([]),
        lambda: founder_shares([]),
        lambda: clutch_funnel("K", []),
        lambda: joint_funnel("K", []),
        lambda: kinship_map(Kinships(codes=(), figures=())),
    ],
    ids=[
        "no years",
        "no figures",
        "no ages",
        "no founders",
        "no stages",
        "no clutches",
        "no animals",
    ],
)
def test_nothing_to_show_is_still_a_picture(chart):
    root = assert_safe(chart().svg)
    assert root.get("role") == "group"
    assert root[0].text


def test_many_threads_draw_what_one_draws():
    founders = [[FounderShare(code=f"F{n}", share=1 / (n + 1))] for n in range(4)]
    alone = [founder_shares(one) for one in founders]
    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(founder_shares, founders)) == alone

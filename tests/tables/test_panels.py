"""What panels are held against."""

from outgas.tables import catalogue


def test_every_figure_is_an_estimate_and_says_why():
    figures = catalogue.panels()
    for name in figures.__struct_fields__:
        number = getattr(figures, name)
        assert (number.how, number.source) == ("estimate", "estimate"), name
        assert number.note, name


def test_factors_are_taken_in_both_directions():
    figures = catalogue.panels()
    assert figures.misfit.low_si * figures.misfit.high_si < 1.1
    assert figures.scatter.low_si > 1.0
    assert figures.judging.low_si > 1.0

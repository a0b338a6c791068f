"""The tokens keep to ISO 128's widths and to W3C's contrast."""

import pytest

from seatfield.drawing.style import colours, dash_mm, hatches, style, styles, tokens

# ISO 128-2: line widths of technical drawings [mm]; the standard's series, a factor of sqrt(2) apart.
ISO_128_WIDTHS = {0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0}


def luminance(colour):
    """Relative luminance after WCAG 2.2."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_every_line_width_is_one_of_iso_128():
    widths = {one.width_mm for one in styles().values()} | {hatch.width_mm for hatch in hatches().values()}
    assert widths - {0.0} <= ISO_128_WIDTHS


def test_cut_walls_are_heavier_than_furniture_and_furniture_than_dimensions():
    assert style("wall").width_mm > style("furniture").width_mm > style("dimension").width_mm


def test_a_dashed_line_has_dashes_of_twelve_and_gaps_of_three_widths():
    """ISO 128-2 line type 02."""
    assert dash_mm(style("run hidden")) == pytest.approx((12 * 0.35, 3 * 0.35))


@pytest.mark.parametrize("theme", ["paper", "print", "blueprint"])
def test_letters_contrast_with_the_paper_as_wcag_asks(theme):
    """WCAG 2.2 success criterion 1.4.3: at least 4.5 to 1 for text of ordinary size."""
    roles = {one.ink for one in styles().values() if one.text_pt}
    palette = colours(theme)
    assert {role: contrast(palette[role], palette["paper"]) >= 4.5 for role in roles} == dict.fromkeys(
        roles, True
    )


def test_the_print_theme_knows_only_grey():
    assert all(colour[1:3] == colour[3:5] == colour[5:7] for colour in colours("print").values())


def test_every_style_names_colours_dashes_and_hatches_that_exist():
    roles = set(colours("paper"))
    for one in styles().values():
        assert {one.stroke, one.fill, one.ink} - {""} <= roles, one.name
        assert one.dash in tokens()["dashes"], one.name
        assert one.hatch in {"", *hatches()}, one.name


def test_an_unknown_style_is_refused_with_those_that_exist():
    with pytest.raises(KeyError, match="No style is called 'brick'"):
        style("brick")


def test_an_unknown_theme_is_refused_with_those_that_exist():
    with pytest.raises(KeyError, match=r"No theme is called 'sepia'\. There are: paper, print, blueprint"):
        colours("sepia")

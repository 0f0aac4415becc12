"""What the bench compares the live figures with draws them, too: the same lines and words."""

import html
import re
import sys
from pathlib import Path

import matplotlib as mpl
import pytest

sys.path.insert(0, str(Path(__file__).parent))

from benchmark.matplotlib_sheet import must_draw, on_matplotlib, on_paper, parts_of  # noqa: E402
from benchmark.redraw import live_figures  # noqa: E402

mpl.use("Agg")


@pytest.mark.parametrize("name", live_figures())
def test_every_word_of_a_live_figure_stands_on_the_matplotlib_figure(monkeypatch, name):
    import matplotlib.pyplot as plt

    figures = []
    monkeypatch.setattr(plt, "show", lambda: figures.append(plt.gcf()))
    inputs, compute, draw, _ = parts_of(name)
    result = compute(**{key: one.value for key, one in inputs.items()})
    on_matplotlib()
    try:
        with must_draw(name):
            draw(result)
    finally:
        on_paper()
    there = sorted(one.get_text() for one in figures[0].axes[0].texts)
    plt.close("all")
    picture = draw(result).svg
    words = [html.unescape(one) for one in re.findall(r"<text[^>]*>([^<]*)</text>", picture)]
    assert words
    assert there == sorted(words)


def test_what_draws_nothing_with_matplotlib_is_refused():
    refused = pytest.raises(RuntimeError, match=r"^bow_explorer was not drawn with matplotlib$")
    with refused, must_draw("bow_explorer"):
        pass

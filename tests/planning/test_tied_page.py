"""A page's figures keep their units; what a browser sends back and a machine reads keeps its plain spaces."""

import pytest

from service.planning.tied_page import tied_page


def test_running_text_is_tied():
    page = "<p>at least <b>6.1 m/s</b>, 410 ± 30\n m, &lt; 0.05 %</p>"
    assert tied_page(page).replace("\u00a0", "~") == "<p>at least <b>6.1~m/s</b>, 410~±~30~m, &lt;~0.05~%</p>"


@pytest.mark.parametrize(
    "kept",
    [
        "<input value=\"6.1 m/s\" title='5 m'>",
        '<a title="5 > 4 m" href="/x">y</a>',
        "<textarea>hold 6.1 m/s</textarea>",
        "<option>6.1 m/s</option>",
        "<script>let a = '5 m';</script>",
        "<svg><text>6.1 m/s</text></svg>",
        "<code>6.1 m/s</code>",
        "<!-- 5 m -->",
    ],
)
def test_what_comes_back_is_left_alone(kept):
    assert tied_page(f"{kept}<p>5 m</p>{kept}") == f"{kept}<p>5\u00a0m</p>{kept}"

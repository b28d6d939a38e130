"""The map's frame, drawn by folium, in three parts that a strict content security policy lets through.

folium writes its scripts and styles into the page and its files come from four outside hosts. Here the files are
our own static files, and script and style leave as responses of their own. No text that people wrote goes through
folium: it would run as code from a popup, a tooltip or a layer's name, escaped or not. Rows come by address.
"""

import re
from dataclasses import asdict, dataclass
from typing import Any

import folium
from branca.element import Figure, MacroElement
from folium.template import Template

from compaction.register import LOOKS, MARK_WORDS

_INLINE = re.compile(r"<(script|style)>(.*?)</\1>", re.DOTALL)
_META = re.compile(r"<meta[^>]*>")
# From a hand's breadth on the screen to the whole of a long dam; zoom 0 is one metre a pixel in plain metres.
_CLOSEST_ZOOM, _FARTHEST_ZOOM = 24, 2
_CLOSEST_SIMPLE_ZOOM, _FARTHEST_SIMPLE_ZOOM = 9, -8


@dataclass(frozen=True)
class Files:
    """Addresses of the static files that the frame loads, in this order."""

    scripts: tuple[str, ...]
    styles: tuple[str, ...]


@dataclass(frozen=True)
class LayerAddresses:
    """Where the frame fetches layers and the whole of a test, and where pages are; a zero id stands for a test."""

    tests: str
    placements: str
    areas: str
    alignment: str
    observations: str = ""
    test_page: str = ""
    story: str = ""
    cells: str = ""
    locations: str = ""
    lift_page: str = ""
    locations_page: str = ""


@dataclass(frozen=True)
class Tiles:
    """A background of the operator's own choice; without an address there is none."""

    address: str = ""
    attribution: str = ""


@dataclass(frozen=True)
class Frame:
    """`head` and `body` go into the page, `script` and `style` are responses of their own."""

    head: str
    body: str
    script: str
    style: str


class SitePlan(MacroElement):
    """Hands the folium map and the layer addresses to our own script, which draws on canvas."""

    _template = Template(
        """
        {% macro script(this, kwargs) %}
            var sitePlan = drawSitePlan({{ this._parent.get_name() }}, {{ this.settings|tojson }});
        {% endmacro %}
        """
    )

    def __init__(self, settings: dict[str, Any]) -> None:
        super().__init__()
        self._name = "SitePlan"
        self.settings = settings


class SiteMap(folium.Map):
    """A folium map that loads nothing but the files it is given."""

    def __init__(self, *, files: Files, **options: Any) -> None:
        super().__init__(**options)
        self._id = "site"  # the same in all three responses
        # Lists of this map alone: those of the class are shared by every map of the process.
        self.default_js = [(f"script{number}", address) for number, address in enumerate(files.scripts)]
        self.default_css = [(f"style{number}", address) for number, address in enumerate(files.styles)]


def draw(
    *,
    layers: LayerAddresses,
    files: Files,
    bounds: list[list[float]] | None,
    simple: bool,
    tiles: Tiles | None = None,
    lift: str = "",
    lift_word: str = "lift",
) -> Frame:
    """The frame around a site. `simple`: coordinates are metres, not degrees; `lift` is what the tests start with.

    `lift_word` is what the project calls a lift (one of our own words).
    """
    site = SiteMap(
        files=files,
        location=_middle(bounds),
        zoom_start=2 if simple else 16,
        tiles=None,
        crs="Simple" if simple else "EPSG3857",
        control_scale=True,
        prefer_canvas=True,
        # In the camel case that Leaflet reads: without tiles folium drops its own `max_zoom`.
        maxZoom=_CLOSEST_SIMPLE_ZOOM if simple else _CLOSEST_ZOOM,
        minZoom=_FARTHEST_SIMPLE_ZOOM if simple else _FARTHEST_ZOOM,
        zoomSnap=0.25,
        zoomDelta=0.5,
        wheelPxPerZoomLevel=90,
        zoomAnimation=False,
        fadeAnimation=False,
        attributionControl=bool(tiles and tiles.address),
    )
    if tiles and tiles.address and not simple:
        folium.TileLayer(
            tiles=tiles.address,
            attr=_plain(tiles.attribution) or "background map",
            max_native_zoom=19,
            max_zoom=_CLOSEST_ZOOM,
        ).add_to(site)
    site.add_child(
        SitePlan(
            {
                "layers": asdict(layers),
                "bounds": bounds,
                "simple": simple,
                "lift": lift,
                "lift_word": lift_word,
                "looks": {name: {**asdict(look), "words": MARK_WORDS[name]} for name, look in LOOKS.items()},
            }
        )
    )
    return _split(site)


def _middle(bounds: list[list[float]] | None) -> list[float]:
    if bounds is None:
        return [0.0, 0.0]
    (south, west), (north, east) = bounds
    return [(south + north) / 2, (west + east) / 2]


def _plain(text: str) -> str:
    """The operator's attribution as folium may have it: it is set as HTML, so only letters and a few signs remain."""
    return re.sub(r"[^\w ,.;:()©/-]", "", text)


def _split(site: SiteMap) -> Frame:
    """Render once, then take the inline scripts and styles out of the page."""
    figure = site.get_root()
    assert isinstance(figure, Figure)
    figure.render()
    header = figure.header.render()
    inline = _INLINE.findall(header)
    head = _META.sub("", _INLINE.sub("", header))
    script = figure.script.render()
    return Frame(
        head="\n".join(line.strip() for line in head.splitlines() if line.strip()),
        body=figure.html.render().strip(),
        script="\n".join([*(text for kind, text in inline if kind == "script"), script]),
        style="\n".join(text for kind, text in inline if kind == "style"),
    )

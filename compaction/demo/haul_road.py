"""The haul road beside the dike, as a design office would send it: a LandXML file. Every number is invented.

A straight, a curve between two clothoids, a plain curve, a station equation, a profile with one even and one
uneven parabola. Coordinates are rounded to 0.0001 ft, so the page on it shows small closures.
"""

from functools import cache
from typing import Any, Final

from compaction.demo import site
from projects.geometry.landxml.document import Document
from projects.geometry.landxml.importing import Answers, import_alignment
from projects.geometry.landxml.safe_xml import digest

CODE: Final = "haul-road"
NAME: Final = "Haul road from the west borrow area"
FILE_NAME: Final = "haul road.xml"
FILE: Final = """<?xml version="1.0" encoding="UTF-8"?>
<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2">
  <Units><Imperial linearUnit="foot" areaUnit="squareFoot" angularUnit="decimal degrees"
    directionUnit="decimal degrees"/></Units>
  <CoordinateSystem name="Made up for the demonstration" epsgCode="2256" verticalDatum="NAVD 88"/>
  <Alignments name="Temporary works">
    <Alignment name="HR-1" length="2560.4406" staStart="500.">
      <CoordGeom>
        <Line dir="69.70243" length="436.9638"><Start>1049150.0000 2441450.0000</Start>
          <End>1049301.5809 2441859.8299</End></Line>
        <Spiral rot="cw" spiType="clothoid" length="150.0000" radiusStart="INF" radiusEnd="900.0000">
          <Start>1049301.5809 2441859.8299</Start><PI>1049336.2831 2441953.6544</PI>
          <End>1049349.6732 2442001.8625</End></Spiral>
        <Curve rot="cw" crvType="arc" radius="900.0000" length="367.4159"><Start>1049349.6732 2442001.8625</Start>
          <Center>1048482.5021 2442242.7239</Center><End>1049374.0306 2442365.9184</End></Curve>
        <Spiral rot="cw" spiType="clothoid" length="150.0000" radiusStart="900.0000" radiusEnd="INF">
          <Start>1049374.0306 2442365.9184</Start><PI>1049367.1819 2442415.4806</PI>
          <End>1049345.2878 2442513.0917</End></Spiral>
        <Line dir="102.64215" length="204.4012"><Start>1049345.2878 2442513.0917</Start>
          <End>1049300.5524 2442712.5374</End></Line>
        <Curve rot="ccw" crvType="arc" radius="1400.0000" length="1049.5487"><Start>1049300.5524 2442712.5374</Start>
          <Center>1050666.6108 2443018.9430</Center><End>1049457.9953 2443725.5182</End></Curve>
        <Line dir="59.68879" length="202.1110"><Start>1049457.9953 2443725.5182</Start>
          <End>1049560.0000 2443900.0000</End></Line>
      </CoordGeom>
      <StaEquation staAhead="2500" staBack="2000" staInternal="2000" desc="joins the stationing of the borrow area"/>
      <Profile name="HR-1"><ProfAlign name="HR-1 finished">
        <PVI>500. 2491.20</PVI>
        <ParaCurve length="300.">1150. 2497.70</ParaCurve>
        <UnsymParaCurve lengthIn="200." lengthOut="320.">2200. 2484.05</UnsymParaCurve>
        <PVI>3060.44 2499.54</PVI>
      </ProfAlign></Profile>
    </Alignment>
  </Alignments>
</LandXML>
"""


@cache
def content() -> dict[str, Any]:
    """The content of the alignment, read from the file as the page reads it."""
    source = {"file": FILE_NAME, "sha256": digest(FILE)}
    found = import_alignment(Document.read(FILE), Answers(surface="finished grade"), epsg=site.EPSG_CODE, source=source)
    assert found.content is not None, found.questions
    return found.content

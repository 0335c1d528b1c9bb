"""Colour files from strangers: tables of any habit, CGATS.17, CxF3, lamps, and hostile ones."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import random
import time
from contextlib import suppress
from pathlib import Path

import pytest

from softmend.errors import InputError, LimitError, SoftmendError
from softmend.exchange.colour_files import curves_cgats, curves_csv, curves_cxf
from softmend.intake.colour_file import read_colour_bytes, read_colour_file
from softmend.intake.colour_sample import ColourSample

CURVE = {400.0: 0.31, 500.0: 0.42, 600.0: 0.55, 700.0: 0.61}


def read(text: str) -> ColourSample:
    found = read_colour_bytes(text.encode("utf-8")).samples
    assert len(found) == 1
    return found[0]


def as_curve(sample: ColourSample) -> dict[float, float]:
    return {
        at: round(value, 9) for at, value in zip(sample.wavelengths_nm, sample.values, strict=True)
    }


@pytest.mark.parametrize(
    "text",
    [
        "wavelength_nm,tusk\n400,0.31\n500,0.42\n600,0.55\n700,0.61\n",
        "wavelength_nm;tusk\n700;0,61\n600;0,55\n500;0,42\n400;0,31\n",
        "Wavelength (nm)\ttusk (%)\n400\t31\n500\t42\n600\t55\n700\t61\n",
        "nm;tusk\n400;31,0\n500;42,0\n600;55,0\n700;61,0\n",
        "name,400,500,600,700\ntusk,0.31,0.42,0.55,0.61\n",
        "sample;700 nm;600 nm;500 nm;400 nm\r\ntusk;61,0;55,0;42,0;31,0\r\n",
        "name\tR400\tR500\tR600\tR700\ntusk\t31%\t42%\t55%\t61%\n",
        "400 0.31\n500 0.42\n600 0.55\n700 0.61\n",
        "400 0,31\n500 0,42\n600 0,55\n700 0,61\n",
        "400,0.31\n500,0.42\n600,0.55\n700,0.61\n",
        "\ufeff# geometry: d/8\nwl,tusk\n400,0.31\n500,0.42\n\n600,0.55\n700,0.61\n",
    ],
)
def test_tables_of_any_habit_give_the_same_curve(text: str) -> None:
    assert as_curve(read(text)) == CURVE


def test_a_table_says_how_it_was_measured_and_what_is_missing() -> None:
    found = read_colour_bytes(
        b"name,geometry,specular,uv,backing,aperture_mm,readings,400,500,600,700\n"
        b"tusk,d/8,included,M0,white,6,5,0.31,0.42,0.55,0.61\n"
        b"bone,d/8,included,M0,white,6,,0.31,,0.55,0.61\n"
    )
    tusk, bone = found.samples
    assert (tusk.name, tusk.geometry, tusk.specular, tusk.uv) == ("tusk", "d/8", "included", "M0")
    assert (tusk.aperture_mm, tusk.readings, bone.readings) == (6.0, 5, None)
    assert bone.wavelengths_nm == (400.0, 600.0, 700.0)
    assert "“bone” lacks 1 of 4 wavelengths." in found.notes


def test_percent_is_guessed_for_the_whole_file_and_said() -> None:
    found = read_colour_bytes(b"nm,dark,light\n400,0.9,80\n500,1.1,85\n600,1.2,88\n")
    assert found.samples[0].values == pytest.approx((0.009, 0.011, 0.012))
    assert "read as percent" in found.notes[0]
    assert read_colour_bytes(b"nm,a\n400,0.9\n500,1.02\n").samples[0].values[1] == 1.02


CGATS = '''CGATS.17
ORIGINATOR "bench"   # a comment
MEASUREMENT_GEOMETRY "45/0"
MEASUREMENT_SOURCE "Illumination=D50 MeasurementCondition=M1"
ILLUMINANT D50
OBSERVER 2
NUMBER_OF_FIELDS 8
BEGIN_DATA_FORMAT
SAMPLE_ID SAMPLE_NAME SPECTRAL_NM400 SPECTRAL_NM500
SPECTRAL_NM600 SPECTRAL_NM700 LAB_L LAB_A LAB_B MY_OWN_FIELD
END_DATA_FORMAT
NUMBER_OF_SETS 2
BEGIN_DATA
1 "old tusk" 0.31 0.42 0.55 0.61 75.2 2.1 18.3 x
2 "a ""fill""" 0.30 0.40
0.50 0.60 74 2 17 "y z"
END_DATA
'''


def test_cgats_is_read_with_quotes_comments_broken_lines_and_unknown_fields() -> None:
    found = read_colour_bytes(CGATS.encode())
    tusk, fill = found.samples
    assert found.kind == "CGATS.17"
    assert as_curve(tusk) == CURVE
    assert tusk.lab == (75.2, 2.1, 18.3)
    assert (tusk.geometry, tusk.specular, tusk.uv) == ("45/0", "excluded", "M1")
    assert (tusk.lamp, tusk.observer_degrees) == ("D50", 2)
    assert fill.name == 'a "fill"'
    percent = CGATS.replace("SPECTRAL_NM", "SPECTRAL_PCT").replace("0.", "")
    assert as_curve(read_colour_bytes(percent.encode()).samples[0]) == CURVE


CXF = """<?xml version="1.0" encoding="UTF-8"?>
<cc:CxF xmlns:cc="http://colorexchangeformat.com/CxF3-core">
 <cc:FileInformation><cc:Creator>bench</cc:Creator></cc:FileInformation>
 <cc:Resources>
  <cc:ObjectCollection>
   <cc:Object ObjectType="Standard" Name="old tusk" Id="c1">
    <cc:CreationDate>2026-11-29T21:30:00</cc:CreationDate><cc:ColorValues>
    <cc:ReflectanceSpectrum ColorSpecification="cs" StartWL="400">0.31 0.42 0.55 0.61
    </cc:ReflectanceSpectrum></cc:ColorValues></cc:Object>
  </cc:ObjectCollection>
  <cc:ColorSpecificationCollection><cc:ColorSpecification Id="cs">
   <cc:TristimulusSpec><cc:Illuminant>D50</cc:Illuminant><cc:Observer>2_Degree</cc:Observer>
   </cc:TristimulusSpec>
   <cc:MeasurementSpec><cc:MeasurementType>Spectrum_Reflectance</cc:MeasurementType>
    <cc:GeometryChoice><cc:SingleAngle><cc:IlluminationAngle>45</cc:IlluminationAngle>
     <cc:MeasurementAngle>0</cc:MeasurementAngle></cc:SingleAngle></cc:GeometryChoice>
    <cc:WavelengthRange StartWL="400" Increment="100"/>
    <cc:Aperture>4</cc:Aperture>
    <cc:Device><cc:DeviceIllumination>M1_Daylight</cc:DeviceIllumination></cc:Device>
   </cc:MeasurementSpec></cc:ColorSpecification></cc:ColorSpecificationCollection>
 </cc:Resources>
</cc:CxF>
"""


def test_cxf_is_read_and_an_unknown_element_does_not_lose_the_file() -> None:
    found = read_colour_bytes(CXF.encode())
    (tusk,) = found.samples
    assert as_curve(tusk) == CURVE
    assert (tusk.name, tusk.geometry, tusk.uv, tusk.aperture_mm) == (
        "old tusk", "45/0", "M1_Daylight", 4.0,
    )  # fmt: skip
    assert found.notes == ()
    odd = CXF.replace("<cc:Resources>", "<cc:Odd><cc:More/></cc:Odd><cc:Resources>")
    assert as_curve(read_colour_bytes(odd.encode()).samples[0]) == CURVE
    old = CXF.replace("CxF3-core", "cxf2")
    assert "read as far as it is understood" in read_colour_bytes(old.encode()).notes[0]


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        (' Id="c1"', "", "“Object” lacks “Id”"),
        ('<cc:CreationDate>2026-11-29T21:30:00</cc:CreationDate>', "", "lacks “CreationDate”"),
        ('<cc:ColorSpecification Id="cs">', '<cc:ColorSpecification Id="other">',
         "the specification “cs” is named and not there"),
        ('<cc:ColorValues>', '<cc:ColorValues><cc:Odd/>', "“Odd” does not belong into"),
        (' Increment="100"', "", "“WavelengthRange” lacks “Increment”"),
        ("Increment=\"100\"/>", "Increment=\"100\"/><cc:Sheen>8</cc:Sheen>",
         "“Sheen” does not belong into “MeasurementSpec”"),
    ],
)  # fmt: skip
def test_what_is_not_cxf_to_the_letter_is_named_and_the_file_read_all_the_same(
    before: str, after: str, said: str
) -> None:
    assert before in CXF
    odd = CXF.replace(before, after)
    if "Increment" in said or "not there" in said:
        odd = odd.replace('StartWL="400">0.31', 'StartWL="400" Increment="100">0.31')
    found = read_colour_bytes(odd.encode())
    assert as_curve(found.samples[0]) == CURVE
    assert found.notes[0].startswith("The file is not CxF3 to the letter")
    assert said in found.notes[0]


def test_surface_light_of_a_sphere_is_kept_from_a_cxf_file() -> None:
    sphere = (
        CXF.partition("<cc:SingleAngle>")[0]
        + ("<cc:SphereGeometry>Specular_Excluded</cc:SphereGeometry>")
        + CXF.partition("</cc:SingleAngle>")[2]
    )
    found = read_colour_bytes(sphere.encode())
    assert found.notes == ()
    assert (found.samples[0].geometry, found.samples[0].specular) == ("d/8", "excluded")


def test_what_a_program_adds_under_custom_resources_is_its_own() -> None:
    own = CXF.replace("</cc:Resources>", "</cc:Resources><cc:CustomResources><x:A xmlns:x='y'/>"
                      "</cc:CustomResources>")  # fmt: skip
    assert read_colour_bytes(own.encode()).notes == ()


def test_a_lamp_in_xml_and_in_a_table_keeps_its_scale() -> None:
    xml = "<IESTM2714><SpectralDistribution>" + "".join(
        f'<SpectralData wavelength="{at}">{at / 100}</SpectralData>' for at in (400, 500, 600)
    ) + "</SpectralDistribution></IESTM2714>"  # fmt: skip
    assert read_colour_bytes(xml.encode()).samples[0].values == (4.0, 5.0, 6.0)
    table = read_colour_bytes(b"nm,power\n400,4\n500,50\n600,6\n")
    assert table.samples[0].values == (4.0, 50.0, 6.0)


BOMB = (
    '<?xml version="1.0"?><!DOCTYPE b [<!ENTITY a "aaaaaaaaaa">'
    + "".join(f'<!ENTITY {x} "{f"&{y};" * 10}">' for x, y in zip("bcdefgh", "abcdefg", strict=True))
    + "]><CxF>&h;</CxF>"
)
REACH_OUT = (
    '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY f SYSTEM "file:///etc/passwd">]><CxF>&f;</CxF>'
)


@pytest.mark.parametrize("text", [BOMB, REACH_OUT, "<!DOCTYPE html><html></html>"])
def test_xml_with_a_document_type_is_refused_at_once(text: str) -> None:
    begun = time.monotonic()
    with pytest.raises(InputError, match="own document type or entities"):
        read_colour_bytes(text.encode())
    assert time.monotonic() - begun < 2


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is empty"),
        (b"\x00\x01PNG\x00", "no text and no XML"),
        (b"<CxF>", "XML file is damaged"),
        (b"<CxF></CxF>", "holds no reflectance"),
        (b"<a>" * 200 + b"</a>" * 200, "too deep"),
        (b"nm,a\n400,red\n500,0.4\n", "Row 2, “a” is not a number; got red"),
        (b"name,400,500,600\nx,0.1,nan,0.2\n", "Row 2, 500 is not a finite number"),
        (b"nm,a\n400,0.1\n400,0.2\n", "stands twice"),
        (b"nm,a\n4,0.1\n5,0.2\n", "Give wavelengths in nanometres"),
        (b"colour,name\nred,blue\n", "has no wavelengths"),
        (CGATS.replace("END_DATA\n", "").encode(), "ends before its END_DATA"),
        (CGATS.replace('"y z"', "").encode(), "lacks values"),
        (CGATS.replace("0.55", "0,5,5").encode(), "Line 14, SPECTRAL_NM600 is not a number"),
        (CXF.replace('StartWL="400"', "").encode(), "at which wavelengths"),
    ],
)
def test_files_that_cannot_be_read_say_why_in_one_sentence(data: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words.replace("(", r"\(")):
        read_colour_bytes(data)


def test_files_that_are_too_large_or_missing_are_refused(tmp_path: Path) -> None:
    with pytest.raises(LimitError, match="too large"):
        read_colour_bytes(b"a" * 20_000_001)
    with pytest.raises(InputError, match="cannot be read"):
        read_colour_file(tmp_path / "none.csv")
    many = "name,400,500,600\n" + "x,0.1,0.2,0.3\n" * 5001
    with pytest.raises(LimitError, match="too many readings"):
        read_colour_bytes(many.encode())


def test_broken_files_never_raise_anything_else() -> None:
    rng = random.Random(7)
    read = []
    for _ in range(300):
        data = bytearray(rng.choice([CGATS, CXF, "nm;a\n400;0,3\n500;0,4\n"]).encode())
        for _ in range(rng.randint(1, 12)):
            place = rng.randrange(len(data) + 1)
            if rng.random() < 0.5:
                data[place : place + 1] = rng.randbytes(1)
            else:
                del data[place : place + rng.randint(1, 30)]
        with suppress(SoftmendError):
            read.append(read_colour_bytes(bytes(data)).kind)
    assert 0 < len(read) < 300


CURVES = [
    ColourSample("old tusk", tuple(CURVE), tuple(CURVE.values()), geometry="d/8",
                 specular="included", uv="M1", backing="white", aperture_mm=6.0, readings=5),
    ColourSample('=a "fill" <1>', tuple(CURVE), (0.3, 0.4, 0.5, 0.6), geometry="d/8",
                 specular="included", uv="M1", backing="white", aperture_mm=6.0, readings=5),
]  # fmt: skip


def cxf_of(curves: list[ColourSample]) -> bytes:
    return curves_cxf(curves, "2026-11-29T21:30:00")


@pytest.mark.parametrize("write", [curves_csv, curves_cgats, cxf_of])
def test_what_is_written_reads_back(write) -> None:
    back = read_colour_bytes(write(CURVES))
    assert back.notes == ()
    for one, two in zip(CURVES, back.samples, strict=True):
        assert as_curve(two) == as_curve(one)
        assert (two.geometry.split()[0], two.specular, two.uv) == ("d/8", "included", "M1")
    assert back.samples[0].name == "old tusk"
    again = read_colour_bytes(write(back.samples))
    assert [one.specular for one in again.samples] == ["included", "included"]


def test_curves_measured_in_different_ways_never_share_a_file() -> None:
    mixed = [CURVES[0], ColourSample("b", tuple(CURVE), tuple(CURVE.values()), geometry="45/0")]
    for write in (curves_cgats, cxf_of):
        with pytest.raises(InputError, match="measured in different ways"):
            write(mixed)
    uneven = [ColourSample("b", (400.0, 500.0, 650.0), (0.1, 0.2, 0.3))]
    with pytest.raises(InputError, match="even steps"):
        cxf_of(uneven)
    with pytest.raises(InputError, match="different wavelengths"):
        curves_csv([CURVES[0], *uneven])

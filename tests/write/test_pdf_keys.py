"""The keys of written files, against the key table, an independent reader and the packet itself."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import UTC, datetime
from xml.etree import ElementTree

import pikepdf
import pypdf
import pytest

from render.preflight.keys import KEYS, Key, Need, key_faults
from render.write.pdf import Press, write
from render.write.pdf.xmp import EPOCH
from tests.helpers.pdf_objects import array
from tests.helpers.pdf_samples import proof_page, sheet, white_sheet
from tests.helpers.pdf_system import claiming, cmyk_profile


def owners(pdf: pikepdf.Pdf, claims: bool) -> dict[str, list[pikepdf.Object]]:
    """Every dictionary that a row of the table speaks of."""
    layers = pdf.Root["/OCProperties"]
    intents = list(pdf.Root["/OutputIntents"]) if claims else []
    return {
        "Page": [page.obj for page in pdf.pages],
        "Intent": intents,
        "Profile": [intent["/DestOutputProfile"] for intent in intents],
        "Info": [pdf.trailer["/Info"]],
        "Metadata": [pdf.Root["/Metadata"]],
        "Layers": [layers],
        "Group": list(layers["/OCGs"]),
        "Config": [layers["/D"]],
        "Step": [group["/GTS_Metadata"] for group in layers["/OCGs"]],
    }


@pytest.mark.parametrize("claims", [False, True])
def test_a_written_file_has_every_key_of_the_table(claims: bool) -> None:
    data = write(sheet(), claiming()) if claims else write(sheet())
    with pikepdf.open(io.BytesIO(data)) as pdf:
        found = owners(pdf, claims)
        assert set(found) == {row.where for row in KEYS}, "every place of the table is looked at"
        faults = [
            (where, fault.what)
            for where, listed in found.items()
            for owner in listed
            for fault in key_faults(where, owner, claims)
        ]
    assert faults == []


@pytest.mark.parametrize("row", [row for row in KEYS if row.need is not Need.OPTIONAL], ids=str)
def test_the_table_sees_each_required_key_that_is_gone(row: Key) -> None:
    assert [fault.row for fault in key_faults(row.where, None, claims=True)].count(row) == 1


@pytest.mark.parametrize("row", KEYS, ids=lambda row: f"{row.where}{row.key}")
def test_the_table_sees_each_key_of_another_type(row: Key) -> None:
    wrong = pikepdf.Dictionary({row.key: pikepdf.Array([True])})
    if row.types != "array":
        faults = [fault.row for fault in key_faults(row.where, wrong, claims=False)]
        assert row in faults
    assert row.source


def test_the_claim_stands_in_the_packet_and_not_in_the_information_dictionary() -> None:
    data = write(sheet(), claiming())
    reader = pypdf.PdfReader(io.BytesIO(data))
    values = packet(data)
    assert values["{http://www.npes.org/pdfx/ns/id/}GTS_PDFXVersion"] == "PDF/X-4"
    information = reader.metadata
    assert information is not None
    assert "/GTS_PDFXVersion" not in information
    assert information.get("/Title") == "Sample sheet"
    assert information.get("/Trapped") == "/False"
    assert values["{http://ns.adobe.com/pdf/1.3/}Trapped"] == "False"
    for name in ("CreateDate", "ModifyDate", "MetadataDate"):
        assert values[f"{{http://ns.adobe.com/xap/1.0/}}{name}"] == "2026-03-31T00:00:00Z"
    assert information.creation_date == datetime(2026, 3, 31, tzinfo=UTC)
    for name in ("DocumentID", "VersionID", "RenditionClass"):
        assert values[f"{{http://ns.adobe.com/xap/1.0/mm/}}{name}"]
    assert len(array(reader.trailer, "/ID")) == 2


def test_the_profile_is_embedded_whole_with_its_channels() -> None:
    reader = pypdf.PdfReader(io.BytesIO(write(sheet(), claiming())))
    (intent,) = array(reader.root_object, "/OutputIntents")
    intent = intent.get_object()
    assert intent["/S"] == "/GTS_PDFX"
    assert intent["/OutputConditionIdentifier"] == cmyk_profile().condition
    assert "/RegistryName" not in intent  # the profile's description is not a registered name
    profile = intent["/DestOutputProfile"].get_object()
    assert profile["/N"] == 4
    assert profile.get_data() == cmyk_profile().data


@pytest.mark.parametrize(
    ("condition", "registered"),
    [("FOGRA39", True), ("CGATS21-2-CRPC6", True), ("FOGRA39L Coated", False), ("SWOP", False)],
)
def test_the_registry_is_named_for_its_own_names_only(condition: str, registered: bool) -> None:
    # Reference names of the ICC's registry of characterization data (from memory).
    profile = replace(cmyk_profile(), condition=condition)
    reader = pypdf.PdfReader(io.BytesIO(write(sheet(), Press(profile))))
    (intent,) = array(reader.root_object, "/OutputIntents")
    intent = intent.get_object()
    assert intent["/OutputConditionIdentifier"] == condition
    assert (intent.get("/RegistryName") == "http://www.color.org") is registered


def test_without_a_profile_there_is_no_claim_of_any_kind() -> None:
    data = write(sheet())
    assert b"GTS_PDFX" not in data
    assert b"OutputIntent" not in data
    assert "{http://www.npes.org/pdfx/ns/id/}GTS_PDFXVersion" not in packet(data)


def test_a_claim_without_a_date_takes_the_fixed_one_and_a_plain_file_none() -> None:
    claimed, plain = write(sheet(date=None), claiming()), write(sheet(date=None))
    created = "{http://ns.adobe.com/xap/1.0/}CreateDate"
    assert (
        packet(claimed)[created] == EPOCH.strftime("%Y-%m-%dT%H:%M:%SZ") == "1980-01-01T00:00:00Z"
    )
    assert created not in packet(plain)
    information = pypdf.PdfReader(io.BytesIO(plain)).metadata
    assert information is not None
    assert "/CreationDate" not in information


def test_an_instant_with_a_zone_is_written_in_universal_time() -> None:
    values = packet(write(sheet(date="2026-03-31T01:30:00+02:00")))
    assert values["{http://ns.adobe.com/xap/1.0/}CreateDate"] == "2026-03-30T23:30:00Z"


def test_the_packet_is_plain_and_the_file_of_version_1_6_without_object_streams() -> None:
    data = write(white_sheet(), claiming())
    assert data.startswith(b"%PDF-1.6")
    assert b"<?xpacket begin=" in data
    assert b"/ObjStm" not in data
    assert b"/XRef" not in data
    assert b"<dc:title>" in data


def test_signs_in_a_title_are_escaped() -> None:

    assert (
        packet(write(proof_page()))["{http://purl.org/dc/elements/1.1/}title"] == "Proof & <notes>"
    )


def packet(data: bytes) -> dict[str, str]:
    found = re.search(rb"<x:xmpmeta.*</x:xmpmeta>", data, re.DOTALL)
    assert found
    description = ElementTree.fromstring(found[0])[0][0]
    return {child.tag: "".join(child.itertext()).strip() for child in description}

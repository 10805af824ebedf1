"""What WeasyPrint's PDF still needs to be PDF/UA-1 and ready for a signature, written before the file is."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

import pydyf

FIELD = "signature"
"""The name of the field that a signature goes into."""
PX_TO_PT = 0.75
PRINTED_AND_LOCKED = 4 + 128
SIGNATURES_EXIST_APPEND_ONLY = 3


@dataclass(frozen=True)
class Metadata:
    """What a document says of itself in XMP: its properties, and the schemas of those that PDF/A does not know.

    ``properties``: elements ``rdf:Description`` with their own namespaces. ``schemas``: elements ``rdf:li`` that
    describe them (ISO 19005-3, 6.6.2.3.3), which may use the prefixes of ``SCHEMAS_OPEN``.
    """

    properties: bytes = b""
    schemas: bytes = b""


# ISO 14289-1, 5: the identification.
UA = Metadata(
    b"""<rdf:Description rdf:about="" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/" pdfuaid:part="1"/>
""",
    b"""<rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>PDF/UA identification schema</pdfaSchema:schema>
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
<pdfaProperty:name>part</pdfaProperty:name><pdfaProperty:valueType>Integer</pdfaProperty:valueType>
<pdfaProperty:category>internal</pdfaProperty:category>
<pdfaProperty:description>Part of ISO 14289 that the document conforms to</pdfaProperty:description>
</rdf:li></rdf:Seq></pdfaSchema:property>
</rdf:li>""",
)
# A property stands once in XMP: all schemas in one bag.
SCHEMAS_OPEN = b"""<rdf:Description rdf:about="" xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"
 xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#" xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
<pdfaExtension:schemas><rdf:Bag>"""
SCHEMAS_CLOSE = b"""</rdf:Bag></pdfaExtension:schemas></rdf:Description>"""


def give_color_profile(document: Any) -> str:
    """Give the document WeasyPrint's own sRGB profile, from memory. Returns the output intent to write it with.

    WeasyPrint would open the same file itself and leave it open.
    """
    from weasyprint.css import ColorProfile

    profile = files("weasyprint").joinpath("pdf/sRGB2014.icc").read_bytes()
    document.color_profiles["srgb"] = ColorProfile(
        io.BytesIO(profile), "sRGB2014.icc", "relative-colorimetric", (["r"], ["g"], ["b"])
    )
    return "given"


def describe_in_metadata(document: Any, more: Metadata) -> None:
    """Put the PDF/UA identification, and what else is to be said, into the metadata that the document will write."""
    write = document.metadata.generate_rdf_metadata
    described = b"".join(
        [UA.properties, more.properties, SCHEMAS_OPEN, UA.schemas, more.schemas, SCHEMAS_CLOSE, b"</rdf:RDF>"]
    )

    def with_identification(*variant: Any) -> bytes:
        rdf: bytes = write(*variant)
        return rdf.replace(b"</rdf:RDF>", described)

    document.metadata.generate_rdf_metadata = with_identification


def name_each_file_once(pdf: Any) -> None:
    """Let the list of associated files name each file once: WeasyPrint finds each in two places and names it twice."""
    if "AF" in pdf.catalog:
        pdf.catalog["AF"] = pydyf.Array(dict.fromkeys(pdf.catalog["AF"]))


def add_signature_field(document: Any, pdf: Any, *, anchor: str, title: str) -> None:
    """Lay an empty signature field over the element with this id, and tag it as a form field."""
    page_number, box = _place_of(document, anchor)
    page = pdf.objects[pdf.pages["Kids"][::3][page_number]]
    root = _object(pdf, pdf.catalog["StructTreeRoot"])
    appearance = pydyf.Stream(
        extra={"Type": "/XObject", "Subtype": "/Form", "BBox": pydyf.Array([0, 0, box[2] - box[0], box[3] - box[1]])}
    )
    pdf.add_object(appearance)
    field = pydyf.Dictionary(
        {
            "Type": "/Annot",
            "Subtype": "/Widget",
            "FT": "/Sig",
            "T": pydyf.String(FIELD),
            "TU": pydyf.String(title),
            "F": PRINTED_AND_LOCKED,
            "Rect": pydyf.Array(box),
            "P": page.reference,
            "AP": pydyf.Dictionary({"N": appearance.reference}),
        }
    )
    pdf.add_object(field)
    page.setdefault("Annots", pydyf.Array()).append(field.reference)
    _tag_field(pdf, root, page, field)
    pdf.catalog["AcroForm"] = pydyf.Dictionary(
        {"Fields": pydyf.Array([field.reference]), "SigFlags": SIGNATURES_EXIST_APPEND_ONLY}
    )


def _tag_field(pdf: Any, root: Any, page: Any, field: Any) -> None:
    """Hang the field into the structure tree, so that those who hear the document come upon it."""
    document_element = _object(pdf, root["K"][0])
    reference = pydyf.Dictionary({"Type": "/OBJR", "Obj": field.reference, "Pg": page.reference})
    pdf.add_object(reference)
    form = pydyf.Dictionary(
        {
            "Type": "/StructElem",
            "S": "/Form",
            "P": document_element.reference,
            "Pg": page.reference,
            "K": pydyf.Array([reference.reference]),
        }
    )
    pdf.add_object(form)
    document_element["K"].append(form.reference)
    numbers = _object(pdf, root["ParentTree"])["Nums"]
    field["StructParent"] = max(numbers[::2], default=-1) + 1
    numbers.extend([field["StructParent"], form.reference])


def _object(pdf: Any, reference: bytes) -> Any:
    found = re.match(rb"(\d+) 0 R", reference)
    if not found:
        raise ValueError(f"{reference!r} is not a reference")
    return pdf.objects[int(found[1])]


def _place_of(document: Any, anchor: str) -> tuple[int, list[float]]:
    """Page number and rectangle, in PDF units from below, of an element with an id."""
    for number, page in enumerate(document.pages):
        if anchor in page.anchors:
            left, top, right, bottom = page.anchors[anchor]
            corners = [left, page.height - bottom, right, page.height - top]
            return number, [round(corner * PX_TO_PT, 2) for corner in corners]
    raise ValueError(f"no element of the document has the id {anchor}")

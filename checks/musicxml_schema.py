"""The MusicXML 4.0 schema.

Source: the schema published by the W3C Music Notation Community Group, as it
lies in the package `musicxml`. Its two imports point to the network; stand-ins
beside this file take their place.
"""

from importlib.util import find_spec
from pathlib import Path

from lxml import etree

HERE = Path(__file__).parent
XS = "{http://www.w3.org/2001/XMLSchema}"
STAND_INS = {
    "http://www.w3.org/XML/1998/namespace": HERE / "schema" / "xml.xsd",
    "http://www.w3.org/1999/xlink": HERE / "schema" / "xlink.xsd",
}


def schema() -> etree.XMLSchema:
    """The schema, ready to validate. Nothing is fetched."""
    package = Path(find_spec("musicxml").origin).parent
    parser = etree.XMLParser(no_network=True)
    tree = etree.parse(str(package / "generate_classes" / "musicxml_4_0.xsd"), parser)
    imports = tree.getroot().findall(f"{XS}import")
    assert {element.get("namespace") for element in imports} == set(STAND_INS)
    for element in imports:
        element.set("schemaLocation", STAND_INS[element.get("namespace")].as_uri())
    return etree.XMLSchema(tree)


def faults(schema: etree.XMLSchema, path: Path) -> list[str]:
    """What is wrong with a file, one line each."""
    parser = etree.XMLParser(no_network=True, load_dtd=False, resolve_entities=False)
    tree = etree.parse(str(path), parser)
    schema.validate(tree)
    return [f"{path.name}:{error.line}: {error.message}" for error in schema.error_log]

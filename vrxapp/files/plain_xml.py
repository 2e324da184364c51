"""XML from other people, read as plain elements and nothing else.

No entity can be defined, no other file is pulled in, and nothing nests without end.
"""

from xml.etree.ElementTree import Element, TreeBuilder
from xml.parsers import expat

from vrxapp.errors import InputFileError

_DEEPEST = 200


def plain_xml(content: bytes, *, file: str, kind: str, roots: tuple[str, ...]) -> Element:
    """The root element of some XML; names lose their namespace.

    Parameters
    ----------
    content : bytes
        The whole file.
    file : str
        Its name, for messages.
    kind : str
        What the format is called, for messages.
    roots : tuple of str
        Names that the root element may have.

    Returns
    -------
    Element
        The root.

    Raises
    ------
    InputFileError
        If it is damaged, has a DOCTYPE, nests too deep, or is XML of another kind.
    """
    builder = TreeBuilder()
    parser = expat.ParserCreate(namespace_separator="}")
    parser.buffer_text = True
    mend = f"Export it again as {kind}"
    depth = 0

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal depth
        depth += 1
        if depth > _DEEPEST:
            raise InputFileError("its elements lie too deep in each other", mend=mend, file=file)
        builder.start(tag.rpartition("}")[2], attributes)

    def end(tag: str) -> None:
        nonlocal depth
        depth -= 1
        builder.end(tag.rpartition("}")[2])

    def refuse_doctype(*_: object) -> None:
        raise InputFileError(
            "it begins with a DOCTYPE, by which a file can pull in others or grow without end",
            mend=mend,
            file=file,
            value="<!DOCTYPE",
        )

    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.CharacterDataHandler = builder.data
    parser.StartDoctypeDeclHandler = refuse_doctype
    try:
        parser.Parse(content, True)  # noqa: FBT003  (expat takes no keyword)
    except (expat.ExpatError, ValueError, LookupError) as error:
        raise InputFileError(
            f"it is damaged or cut short, at line {parser.ErrorLineNumber}, "
            f"column {parser.ErrorColumnNumber + 1}",
            mend=f"Copy it again, or export it again as {kind}",
            file=file,
        ) from error
    root = builder.close()
    if root.tag not in roots:
        raise InputFileError(f"it is XML, but no {kind}", mend=mend, file=file, value=root.tag)
    return root

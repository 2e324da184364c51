"""Textures in words, read from wide and long sheets."""

WIDE = """Sample,Depth (cm),Texture,Colwell P (mg/kg)
A,0-10,SL,20
B,0-10,,30
C,0-10,peaty stuff,40
"""
LONG = """Sample,Depth,Analyte,Value,Unit
A,0-10,Texture,Sandy loam,
A,0-10,Colwell P,20,mg/kg
B,0-10,Colwell P,30,mg/kg
"""


def test_a_column_of_textures_goes_with_its_rows(read):
    table = read(WIDE)
    assert table.textures == ("SL", "", "peaty stuff")
    (note,) = [note for note in table.notes if note.column == "texture"]
    assert "peaty stuff" in note.message
    assert note.row == 4


def test_a_texture_among_the_results_belongs_to_its_sample(read):
    table = read(LONG)
    assert table.textures == ("Sandy loam", "")
    assert not table.notes


def test_a_sheet_without_textures_has_none(read):
    assert read("Sample,Colwell P (mg/kg)\nA,20\n").textures == ()

"""People's files into a season; what cannot be right is said with file, place and mend."""

import json

import geopandas
import pytest
import shapely
from shapely import LineString, Point, Polygon, box
from shapely.geometry import mapping

from vrxapp.errors import GroundError, InputFileError, UnknownChoiceError, VrxError
from vrxapp.ground.exclusions import ExclusionKind
from vrxapp.ground.zone_repair import do_tile
from vrxapp.prescription.pipeline import prescription
from vrxapp.progress import Cancelled
from vrxapp.workflows.first_plan import HandMatch, PlanSettings, first_plan
from vrxapp.workflows.open_files import WHOLE_PADDOCK, SeasonFiles, open_season
from vrxapp.workflows.operation_settings import OperationSettings
from vrxapp.workflows.phosphorus_settings import PhosphorusSettings

PADDOCK = box(147.20, -35.10, 147.21, -35.09)
WEST, EAST = box(147.20, -35.10, 147.205, -35.09), box(147.205, -35.10, 147.21, -35.09)


@pytest.fixture
def geojson(tmp_path):
    def write(name, *features):
        collection = {
            "type": "FeatureCollection",
            "features": [
                {"type": "Feature", "properties": fields, "geometry": mapping(shape)}
                for shape, fields in features
            ],
        }
        path = tmp_path / f"{name}.geojson"
        path.write_text(json.dumps(collection), "utf-8")
        return path

    return write


@pytest.fixture
def boundary(geojson):
    return geojson("boundary", (PADDOCK, {"name": "Square"}))


def opened(**files):
    season, _ = open_season(SeasonFiles(**files), name="S", crop="wheat", target_yield_t_ha=4.0)
    return season


def test_a_boundary_alone_is_one_zone(boundary):
    season = opened(boundary=boundary)
    assert season.zones.names == (WHOLE_PADDOCK,)
    assert (season.paddock.name, season.paddock.crs) == ("Square", "EPSG:7855")


def test_zones_of_the_same_name_are_one_zone(boundary, geojson):
    zones = geojson("zones", (WEST, {"zone": "A"}), (EAST, {"zone": "A"}))
    season = opened(boundary=boundary, zones=zones)
    assert season.zones.names == ("A",)
    assert season.zones.shapes[0].area == pytest.approx(season.paddock.boundary.area, rel=1e-6)


def test_exclusions_come_with_kind_and_setback(boundary, geojson):
    line = LineString([(147.20, -35.095), (147.21, -35.095)])
    exclusions = geojson(
        "exclusions",
        (line, {"name": "Creek", "kind": "Watercourse", "setback_m": 15}),
        (Point(147.203, -35.098), {"setback_m": "5"}),
    )
    creek, other = opened(boundary=boundary, exclusions=exclusions).paddock.exclusions
    assert (creek.kind, creek.setback_m) == (ExclusionKind.WATERCOURSE, 15.0)
    assert (other.name, other.kind) == ("Exclusion 2", ExclusionKind.OTHER)


def test_a_strip_takes_the_width_that_is_given_for_all(boundary, geojson):
    strips = geojson("strips", (LineString([(147.201, -35.095), (147.209, -35.095)]), {}))
    (strip,) = opened(boundary=boundary, strips=strips, strip_width_m=36.0).strips
    assert strip.width_m == 36.0


@pytest.mark.parametrize(
    ("part", "shape", "fields", "said"),
    [
        ("boundary", LineString([(147, -35), (148, -35)]), {}, "drawn as a polygon"),
        ("boundary", box(147.0, -35.0, 147.00001, -34.99999), {}, "not likely"),
        ("zones", Point(147.2, -35.1), {"zone": "A"}, "drawn as a polygon"),
        ("zones", box(150.0, -30.0, 150.01, -29.99), {"zone": "A"}, "not one of the 1 zones"),
        ("exclusions", WEST, {"kind": "swamp"}, "'swamp' is not known"),
        ("exclusions", WEST, {"setback_m": "ten"}, "'ten' is not a number"),
        ("exclusions", WEST, {"setback_m": -3}, "setback"),
        ("strips", WEST, {"width_m": 24}, "drawn as a line"),
        ("strips", LineString([(147.201, -35.095), (147.209, -35.095)]), {}, "no width"),
        ("strips", LineString([(150, -30), (150.1, -30)]), {"width_m": 24}, "outside the paddock"),
    ],
)
def test_a_part_that_cannot_be_is_refused(boundary, geojson, part, shape, fields, said):
    files = {"boundary": boundary, part: geojson(part, (shape, fields))}
    with pytest.raises(VrxError, match=said) as raised:
        opened(**files)
    assert raised.value.note.mend


def test_a_boundary_that_crosses_itself_names_file_and_place(geojson):
    bow = Polygon([(147.20, -35.10), (147.21, -35.09), (147.21, -35.10), (147.20, -35.09)])
    with pytest.raises((GroundError, InputFileError), match=r"147\.205") as raised:
        opened(boundary=geojson("boundary", (bow, {})))
    assert raised.value.note.file == "boundary.geojson"


def test_a_first_plan_runs_from_files_to_rates(boundary, geojson, tmp_path):
    zones = geojson("zones", (WEST, {"zone": "West"}), (EAST, {"zone": "East"}))
    lab = tmp_path / "lab.csv"
    lab.write_text("Sample,Zone,Colwell P (mg/kg)\n1,west,20\n2,,30\n")
    settings = PlanSettings(
        target_yield_t_ha=4.0,
        phosphorus=PhosphorusSettings(
            own_critical_mg_kg=30.0,
            own_critical_reason="strips",
            build_up_factor_kg_ha_per_mg_kg=2.0,
        ),
        operation=OperationSettings(product="triple_superphosphate"),
        matches=(HandMatch("2", "East"),),
    )
    farm, _ = first_plan(SeasonFiles(boundary=boundary, zones=zones, lab=lab), settings)
    season = farm.seasons[0]
    plan = prescription(season, season.operations[0])
    # 4 x 3 = 12; (30 - 20) x 2 = 20; 32 / 0.20 = 160 and 12 / 0.20 = 60
    assert plan.rates_kg_ha.tolist() == [160.0, 60.0]


def _sand():
    return PlanSettings(target_yield_t_ha=1.0, operation=OperationSettings(product="sand"))


def test_a_crop_or_product_that_nobody_knows_lists_what_there_is(boundary):
    with pytest.raises(UnknownChoiceError, match="wheat"):
        first_plan(SeasonFiles(boundary), PlanSettings(crop="tulips", target_yield_t_ha=1.0))
    with pytest.raises(UnknownChoiceError, match="triple_superphosphate"):
        first_plan(SeasonFiles(boundary), _sand())


def test_gates_beside_the_boundary_are_left_out_with_a_note(geojson):
    path = geojson("b", (Point(149, -35), {"name": "Gate"}), (PADDOCK, {"name": "Square"}))
    season, notes = open_season(
        SeasonFiles(boundary=path), name="S", crop="wheat", target_yield_t_ha=4.0
    )
    assert season.paddock.name == "Square"
    assert any("1 of its 2 features are no polygons (Point)" in str(note) for note in notes)


def test_a_closed_line_stands_for_a_boundary_where_there_is_no_polygon(geojson):
    path = geojson("b", (LineString(PADDOCK.exterior.coords), {"name": "Driven round"}))
    season, notes = open_season(
        SeasonFiles(boundary=path), name="S", crop="wheat", target_yield_t_ha=4.0
    )
    plain = opened(boundary=geojson("p", (PADDOCK, {})))
    assert season.paddock.boundary.symmetric_difference(plain.paddock.boundary).area < 1e-6
    assert any("closed line" in str(note) for note in notes)


@pytest.fixture
def grid_files(tmp_path):
    """A paddock in metres of a map grid that the file does not name, and zones in two layers."""
    square = geopandas.GeoSeries([PADDOCK], crs=4326).to_crs(7855)
    frame = geopandas.GeoDataFrame({"name": ["Square"]}, geometry=square)
    frame.to_file(tmp_path / "b.shp")
    (tmp_path / "b.prj").unlink()
    zones = geopandas.GeoDataFrame({"zone": ["A", "B"]}, geometry=[WEST, EAST], crs=4326)
    zones.to_file(tmp_path / "z.gpkg", layer="new")
    zones.iloc[:1].to_file(tmp_path / "z.gpkg", layer="old")
    return tmp_path / "b.shp", tmp_path / "z.gpkg"


def test_the_grid_and_the_layer_can_be_told_where_the_files_do_not_say(grid_files, geojson):
    boundary, zones = grid_files
    with pytest.raises(GroundError, match="--crs"):
        opened(boundary=boundary)
    with pytest.raises(UnknownChoiceError, match="new, old"):
        opened(boundary=boundary, zones=zones, crs="EPSG:7855")
    season = opened(boundary=boundary, zones=zones, crs="EPSG:7855", layers=(("zones", "new"),))
    assert season.zones.names == ("A", "B")
    plain = opened(boundary=geojson("plain", (PADDOCK, {})))
    # metres against degrees on the same ellipsoid: the same corners to the millimetre
    assert season.paddock.boundary.symmetric_difference(plain.paddock.boundary).area < 1.0


def test_a_grid_that_nobody_knows_is_refused(grid_files):
    with pytest.raises(GroundError, match="not known here"):
        opened(boundary=grid_files[0], crs="EPSG:1")


def test_zones_of_a_file_that_overlap_and_leave_gaps_are_mended_and_told(boundary, geojson):
    # West reaches 0.0001° (9 m) into East, and East begins 0.0005° (46 m) short of the north
    west = box(147.20, -35.10, 147.2051, -35.09)
    east = box(147.205, -35.10, 147.21, -35.0905)
    zones = geojson("zones", (west, {"zone": "West"}), (east, {"zone": "East"}))
    season, notes = open_season(
        SeasonFiles(boundary, zones=zones), name="S", crop="wheat", target_yield_t_ha=4.0
    )
    assert do_tile(season.zones, season.paddock)
    assert season.zones.names == ("West", "East", "Rest of the paddock")
    told = " ".join(map(str, notes))
    assert "the zones 'East' and 'West' overlapped by" in told
    assert "of the paddock lay in no zone" in told


def test_zones_of_a_file_that_fit_are_taken_as_they_are_drawn(geojson):
    boundary = geojson("boundary", (shapely.union(WEST, EAST), {"name": "Square"}))
    zones = geojson("zones", (WEST, {"zone": "West"}), (EAST, {"zone": "East"}))
    season, notes = open_season(
        SeasonFiles(boundary, zones=zones), name="S", crop="wheat", target_yield_t_ha=4.0
    )
    assert shapely.get_num_coordinates(season.zones.shapes).tolist() == [5, 5]
    assert not any("overlapped" in str(note) or "gap" in str(note) for note in notes)


def test_mending_zones_of_a_file_can_be_stopped(boundary, geojson):
    stages = []

    class Stopping:
        def step(self, done, total, stage):
            stages.append(stage)
            if done == 3:
                raise Cancelled

    zones = geojson("zones", (box(147.20, -35.10, 147.206, -35.09), {"zone": "A"}), (EAST, {}))
    with pytest.raises(Cancelled):
        open_season(
            SeasonFiles(boundary, zones=zones), name="S", crop="wheat", target_yield_t_ha=4.0,
            progress=Stopping(),
        )  # fmt: skip
    assert "Cutting the paddock along all zones" in stages

import numpy as np
import pytest

from vrxapp.errors import GroundError, MissingInputError
from vrxapp.ground.zone_clustering import (
    NO_ZONE,
    advised_groups,
    crispness,
    fuzzy_groups,
    k_means_groups,
)


@pytest.mark.parametrize("grouped", [k_means_groups, fuzzy_groups])
def test_blocks_that_stand_apart_are_found_from_the_lowest_upwards(
    three_blocks, flat_grid, grouped
):
    layers, block = three_blocks
    groups = grouped(layers, flat_grid, groups=3)
    assert np.array_equal(groups.labels, block)
    assert np.nanmin(groups.sureness) > 0.5
    assert groups.crispness > 0.9


@pytest.mark.parametrize("grouped", [k_means_groups, fuzzy_groups])
def test_the_same_seed_gives_the_same_groups(flat_grid, layer_of, grouped):
    rng = np.random.default_rng(3)
    layers = [layer_of(rng.normal(size=flat_grid.shape)) for _ in range(2)]
    one, again = (grouped(layers, flat_grid, groups=4, seed=11) for _ in range(2))
    assert np.array_equal(one.labels, again.labels)
    assert np.array_equal(one.sureness, again.sureness)
    assert one.seed == 11


def test_the_number_of_blocks_is_advised(three_blocks, flat_grid):
    advice = advised_groups(three_blocks[0], flat_grid)
    assert advice.advised == 3
    assert advice.numbers == (2, 3, 4, 5, 6)
    assert max(advice.crispness) == advice.crispness[1]


def test_noise_is_called_less_crisp_than_blocks(three_blocks, flat_grid, layer_of):
    rng = np.random.default_rng(5)
    noise = [layer_of(rng.normal(size=flat_grid.shape)) for _ in range(4)]
    blocks = k_means_groups(three_blocks[0], flat_grid, groups=3).crispness
    assert k_means_groups(noise, flat_grid, groups=3).crispness < 0.6 < blocks


def test_a_cell_between_two_groups_is_not_sure(flat_grid, layer_of):
    values = np.tile(np.where(np.arange(60) < 30, 0.0, 10.0), (40, 1))
    values += np.random.default_rng(0).normal(scale=0.1, size=values.shape)
    values[7, 7] = 5.0  # half-way
    sureness = k_means_groups([layer_of(values)], flat_grid, groups=2).sureness
    assert sureness[7, 7] < 0.05
    assert sureness[0, 0] > 0.95


def test_cells_that_a_layer_does_not_know_belong_to_no_group(three_blocks, flat_grid, layer_of):
    values = np.array(three_blocks[0][0].values)
    values[:5] = np.nan
    groups = k_means_groups([layer_of(values), three_blocks[0][1]], flat_grid, groups=3)
    assert np.all(groups.labels[:5] == NO_ZONE)
    assert np.all(np.isnan(groups.sureness[:5]))
    assert np.all(groups.labels[5:] >= 0)


def test_a_few_odd_cells_make_no_group_of_their_own(three_blocks, flat_grid, layer_of):
    values = np.array(three_blocks[0][0].values)
    values[0, :3] = 1e6  # a stuck sensor
    labels = k_means_groups([layer_of(values)], flat_grid, groups=3).labels
    assert np.array_equal(labels[1:], three_blocks[1][1:])


def test_crispness_does_not_depend_on_how_many_groups_share_alike():
    for count in (2, 3, 7):
        assert crispness(np.full((5, count), 1.0 / count)) == pytest.approx(0.0, abs=1e-12)
        assert crispness(np.eye(count)) == pytest.approx(1.0)
    # shares 0.8 and 0.2: F = 0.64 + 0.04 = 0.68, and (0.68 - 0.5) / 0.5 = 0.36
    assert crispness(np.array([[0.8, 0.2]])) == pytest.approx(0.36)


def test_what_cannot_be_grouped_is_refused(flat_grid, layer_of):
    flat = layer_of(np.full(flat_grid.shape, 3.0), "flat")
    sparse = np.full(flat_grid.shape, np.nan)
    sparse[0, :50] = np.arange(50.0)
    with pytest.raises(GroundError, match="the same value all over"):
        k_means_groups([flat], flat_grid, groups=2)
    with pytest.raises(GroundError, match="only 50 cells"):
        k_means_groups([layer_of(sparse)], flat_grid, groups=2)
    with pytest.raises(MissingInputError, match="no layer"):
        k_means_groups([], flat_grid, groups=2)
    with pytest.raises(MissingInputError, match="no number of zones"):
        k_means_groups([layer_of(np.arange(2400.0).reshape(40, 60))], flat_grid, groups=1)


def test_k_means_leaves_as_little_as_a_known_implementation(flat_grid, layer_of):
    from sklearn import cluster

    rng = np.random.default_rng(9)
    layers = [layer_of(rng.normal(size=flat_grid.shape)) for _ in range(3)]
    labels = k_means_groups(layers, flat_grid, groups=5).labels.ravel()
    ends = [np.percentile(x.values, [1, 99]) for x in layers]  # as the grouping draws them in
    points = np.column_stack(
        [np.clip(x.values.ravel(), *e) for x, e in zip(layers, ends, strict=True)]
    )
    points = (points - points.mean(0)) / points.std(0)
    left = sum(((points[labels == k] - points[labels == k].mean(0)) ** 2).sum() for k in range(5))
    oracle = cluster.KMeans(5, n_init=20, random_state=0).fit(points)
    assert left <= 1.005 * oracle.inertia_

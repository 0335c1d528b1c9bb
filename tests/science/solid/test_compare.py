"""Two scans of one body: pose, loss in a patch, scale only shown, failure found."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from softmend.errors import InputError
from softmend.science.solid.compare import Pose, difference, registration, steady_extremes
from softmend.science.solid.mesh import Mesh, tidied
from softmend.science.solid.patch import Patch, counted_loss, patch_loss
from softmend.science.solid.volume import capped_volume
from tests.science.solid.bodies import bone, noisy, sphere
from tools.oracles.solid import lens

BONE = bone(160, 64)
TURN = Rotation.from_rotvec([1.0, 2.0, -0.7]).as_matrix()
SHIFT = np.array([0.3, -0.2, 0.5])
NOISE = 5e-5
SPOT = BONE.points[np.linalg.norm(BONE.points - [0.0, 0.0146, 0.17], axis=1).argmin()]


def worn() -> Mesh:
    """Return the bone with half a millimetre gone from a round spot."""
    normals = np.zeros_like(BONE.points)
    np.add.at(normals, BONE.faces.reshape(-1), np.repeat(BONE.area_vectors, 3, axis=0))
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    near = np.linalg.norm(BONE.points - SPOT, axis=1) < 0.008
    return Mesh(BONE.points - 5e-4 * normals * near[:, None], BONE.faces)


@pytest.fixture(scope="module")
def fitted() -> Pose:
    later = noisy(worn(), NOISE, 5).moved(TURN, SHIFT)
    return registration(noisy(BONE, NOISE, 6), later, NOISE)


def test_the_pose_is_found(fitted: Pose) -> None:
    back = fitted.moved(BONE.moved(TURN, SHIFT))
    off = np.sqrt(((back.points - BONE.points) ** 2).sum(axis=1).mean())
    assert off < 4e-5
    assert not fitted.has_failed
    assert fitted.fitted_scale == pytest.approx(1, abs=5e-4)


def test_the_loss_of_a_patch_is_found(fitted: Pose) -> None:
    later = fitted.moved(noisy(worn(), NOISE, 5).moved(TURN, SHIFT))
    found = difference(noisy(BONE, NOISE, 6), later)
    patch = patch_loss(found, np.linalg.norm(found.places - SPOT, axis=1) < 0.011, NOISE)
    true = capped_volume(BONE)[0] - capped_volume(worn())[0]
    assert patch.lost - patch.gained == pytest.approx(true, rel=0.06)
    assert patch.deepest == pytest.approx(5e-4, abs=2e-4)
    counted = counted_loss(patch, noisy(BONE, NOISE, 6), later, SPOT, 0.011)
    assert counted.lost - counted.gained == pytest.approx(true, rel=0.06)


def test_noise_alone_is_below_the_level_of_two_scans_of_one_state_and_a_loss_and_a_gain_above(
    fitted: Pose,
) -> None:
    same = difference(noisy(BONE, NOISE, 6), noisy(BONE, NOISE, 7))
    level = same.percentile(0.95)
    spot = np.linalg.norm(same.places - SPOT, axis=1) < 0.011
    # The worst single face of the patch would call a change where nothing changed.
    assert np.abs(same.distances[spot]).max() > level
    assert max(-steady_extremes(same, spot)[0], steady_extremes(same, spot)[1]) < level
    later = fitted.moved(noisy(worn(), NOISE, 5).moved(TURN, SHIFT))
    gone = steady_extremes(difference(noisy(BONE, NOISE, 6), later), spot)
    assert -gone[0] == pytest.approx(5e-4, abs=7e-5)
    come = difference(noisy(worn(), NOISE, 5), noisy(BONE, NOISE, 6))
    assert steady_extremes(come, spot)[1] > level
    with pytest.raises(InputError, match="holds nothing"):
        steady_extremes(same, np.zeros(len(same.places), dtype=bool))
    with pytest.raises(InputError, match="number of faces of a mean"):
        steady_extremes(same, spot, 0)


def test_a_deep_bite_is_counted_whole_where_distances_read_it_small() -> None:
    ball = sphere(0.03, 0.0008)
    from manifold3d import Manifold
    from manifold3d import Mesh as Solid

    whole = Manifold(Solid(ball.points.astype(np.float32), ball.faces.astype(np.uint32)))
    bitten = (whole - Manifold.sphere(0.006, 64).translate([0.03, 0.0, 0.0])).to_mesh()
    later = tidied(bitten.vert_properties[:, :3], bitten.tri_verts).mesh
    middle = np.array([0.03, 0.0, 0.0])
    true = lens(0.03, 0.006, 0.03)
    found = difference(ball, later)
    patch = patch_loss(found, np.linalg.norm(found.places - middle, axis=1) < 0.008, 0.0)
    assert patch.lost < 0.85 * true
    counted = counted_loss(patch, ball, later, middle, 0.008)
    assert counted.lost == pytest.approx(true, rel=0.02)
    assert counted.gained < 0.01 * true


def test_a_one_sided_scan_keeps_the_sum_of_its_distances() -> None:
    half = BONE.part(BONE.centres[:, 1] > 0)
    patch = Patch(1e-9, 0.0, 1e-4, 1e-4, 0.0)
    assert counted_loss(patch, half, half, SPOT, 0.008) == patch


def test_shrinkage_is_shown_and_not_taken_out() -> None:
    pose = registration(BONE, BONE.scaled(0.995).moved(TURN, SHIFT), NOISE)
    assert pose.fitted_scale == pytest.approx(1 / 0.995, abs=1e-3)
    assert np.linalg.det(pose.rotation) == pytest.approx(1)


def test_two_different_bodies_do_not_fit() -> None:
    ball = sphere(0.05, 0.004)
    assert registration(BONE, ball, NOISE).has_failed


def test_what_cannot_be_fitted_is_refused() -> None:
    with pytest.raises(InputError, match="noise of the scans"):
        registration(BONE, BONE, 0.0)
    with pytest.raises(InputError, match="do not pair"):
        registration(BONE, BONE, NOISE, picks=([[0, 0, 0]], [[0, 0, 0]]))
    with pytest.raises(InputError, match="left to fit on"):
        registration(BONE, BONE, NOISE, unchanged=np.zeros(len(BONE.faces), dtype=bool))

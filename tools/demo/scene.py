"""The scene and its light in the open spectral renderer, and the linear picture it gives."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import importlib
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tools.demo.camera import Array, Camera, unit
from tools.demo.lattice import normals, triangles
from tools.demo.piece import Piece
from tools.demo.props import Card, printed
from tools.demo.views import FLOOR_MM, Box, View

VARIANT = "llvm_ad_spectral"
"""On wavelengths and vectorised; needs the LLVM library, version 16 or newer, on the machine."""

PASS_SAMPLES = 4

CLEAR_MM = 0.35
"""A point is looked for this far above the carrier's normal foot, clear of the fine relief."""

PAPER_GLOW = np.array([0.22, 0.30, 0.60])
FAINT_VIOLET = np.array([0.010, 0.004, 0.030])


def renderer() -> Any:
    """Return the renderer's module, set to wavelengths."""
    mitsuba: Any = importlib.import_module("mitsuba")
    mitsuba.set_variant(VARIANT)
    return mitsuba


class Stage:
    """Holds one object's mesh and builds the scene of a view round it."""

    def __init__(self, pieces: list[Piece], view: View) -> None:
        self.mi = renderer()
        self.view = view
        self.glows = view.light == "ultraviolet"
        path = {"type": "path", "max_depth": 4, "hide_emitters": True}
        parts: dict[str, Any] = {"type": "scene", "integrator": path}
        parts |= {f"piece{number}": self._mesh(piece) for number, piece in enumerate(pieces)}
        parts |= {f"box{number}": self._box(box) for number, box in enumerate(view.boxes)}
        parts |= self._card(view.card) | self._ground() | self._lights()
        self.scene = self.mi.load_dict(parts)

    def picture(self, camera: Camera, samples: int, seed: int) -> Array:
        """Return the linear picture, sRGB primaries."""
        sensor = self.mi.load_dict(self._sensor(camera))
        passes = max(1, round(samples / PASS_SAMPLES))
        total = np.zeros((camera.height_px, camera.width_px, 3))
        for number in range(passes):
            total += np.array(self.mi.render(
                self.scene, sensor=sensor, spp=PASS_SAMPLES, seed=1000 * seed + number
            ))  # fmt: skip
        return total / passes

    def is_visible(self, points_mm: Array, outward: Array) -> NDArray[np.bool_]:
        """Say of each point whether the camera sees it past everything else in the scene."""
        lens = np.array(self.view.camera.position_mm)
        start = points_mm + CLEAR_MM * outward
        way = lens - start
        far = np.linalg.norm(way, axis=-1, keepdims=True)
        ray = self.mi.Ray3f(
            self.mi.Point3f(*start.T.copy()), self.mi.Vector3f(*(way / far).T.copy())
        )
        ray.maxt = self.mi.Float(far[:, 0])
        hidden = np.array(self.scene.ray_test(ray))
        return np.asarray((np.sum(way * outward, axis=-1) > 0) & ~hidden)

    def _mesh(self, piece: Piece) -> Any:
        colour = piece.glow if self.glows else piece.colour
        matt = {
            "type": "principled",
            "base_color": {"type": "mesh_attribute", "name": "vertex_color"},
            "roughness": {"type": "mesh_attribute", "name": "vertex_rough"},
            "specular": 0.15 if self.glows else 0.45,
        }
        settings = self.mi.Properties()
        settings["bsdf"] = self.mi.load_dict({"type": "twosided", "bsdf": matt})
        faces, corners = triangles(piece.points_mm), piece.points_mm.reshape(-1, 3)
        mesh = self.mi.Mesh("net", len(corners), len(faces), has_vertex_normals=True,
                            props=settings)  # fmt: skip
        flat = np.clip(colour, 0.002, 0.95).astype(np.float32).ravel()
        mesh.add_attribute("vertex_color", 3, flat)
        mesh.add_attribute("vertex_rough", 1, piece.roughness.astype(np.float32).ravel())
        held = self.mi.traverse(mesh)
        held["vertex_positions"] = corners.astype(np.float32).ravel()
        held["vertex_normals"] = normals(piece.points_mm).astype(np.float32).ravel()
        held["faces"] = faces.ravel()
        held.update()
        return mesh

    def _plain(self, grey: float) -> dict[str, Any]:
        value = (FAINT_VIOLET * grey * 8).tolist() if self.glows else [grey, grey, grey * 1.04]
        return {"type": "diffuse", "reflectance": {"type": "rgb", "value": value}}

    def _box(self, box: Box) -> dict[str, Any]:
        low, high = np.array(box.low), np.array(box.high)
        move = self.mi.ScalarTransform4f
        place = move().translate(((low + high) / 2).tolist()) @ move().scale(
            ((high - low) / 2).tolist()
        )
        return {"type": "cube", "to_world": place, "bsdf": self._plain(0.035)}

    def _card(self, card: Card) -> dict[str, Any]:
        sheet = printed(card).astype(np.float32) / 255
        linear = np.where(sheet <= 0.04045, sheet / 12.92, ((sheet + 0.055) / 1.055) ** 2.4)
        if self.glows:
            linear = linear.mean(axis=-1, keepdims=True) * PAPER_GLOW + 0.03 * linear
        linear = linear[::-1]  # the renderer counts a texture's rows from below
        print_ = {
            "type": "bitmap",
            "bitmap": self.mi.Bitmap(np.ascontiguousarray(linear, dtype=np.float32)),
            "raw": False,
            "filter_type": "bilinear",
            "wrap_mode": "clamp",
        }
        width, height = card.layout.size_mm
        right, up = unit(np.array(card.right)), unit(np.array(card.up))
        place = np.eye(4)
        place[:3, 0], place[:3, 1] = right * width / 2, up * height / 2
        place[:3, 2], place[:3, 3] = np.cross(right, up), card.middle_mm
        return {
            "card": {
                "type": "rectangle",
                "to_world": self.mi.ScalarTransform4f(place.tolist()),
                "bsdf": {"type": "twosided",
                         "bsdf": {"type": "diffuse", "reflectance": print_}},
            }
        }  # fmt: skip

    def _ground(self) -> dict[str, Any]:
        move = self.mi.ScalarTransform4f
        if self.view.thing == "figurehead":
            return {"mat": self._sheet(move().scale(3000.0), 0.05)}
        floor = move().translate([0, FLOOR_MM, 0]) @ move().rotate([1, 0, 0], -90)
        found = {"mat": self._sheet(floor @ move().scale(4000.0), 0.05)}
        if self.view.view != "above":
            wall = move().translate([0, 0, -420.0]) @ move().scale(4000.0)
            found["wall"] = self._sheet(wall, 0.05)
        return found

    def _sheet(self, place: Any, grey: float) -> dict[str, Any]:
        return {"type": "rectangle", "to_world": place, "bsdf": self._plain(grey)}

    def _lights(self) -> dict[str, Any]:
        camera = self.view.camera
        right, up, forward = camera.axes
        middle = np.array(camera.target_mm)
        lamps = {
            "normal": ((-0.95, 0.85, 0.9, 260, 38.0), (0.9, 0.5, 1.0, 320, 11.0)),
            "ultraviolet": ((-0.9, 0.5, 1.0, 200, 30.0), (0.9, 0.5, 1.0, 200, 30.0)),
            "raking": self._raking(),
        }[self.view.light]
        share = 0.03 if self.view.light != "normal" else 0.30
        found: dict[str, Any] = {"sky": self._radiant("constant", share)}
        for number, (across, upward, toward, size, power) in enumerate(lamps):
            away = 1000.0 * (across * right + upward * up - toward * forward)
            look = self.mi.ScalarTransform4f().look_at(
                origin=(middle + away).tolist(), target=middle.tolist(), up=[0.3, 0.8, 0.5]
            )
            found[f"lamp{number}"] = {
                "type": "rectangle",
                "to_world": look @ self.mi.ScalarTransform4f().scale(float(size)),
                "emitter": self._radiant("area", power),
            }
        return found

    def _raking(self) -> tuple[tuple[float, float, float, float, float], ...]:
        if self.view.thing == "figurehead":
            return ((-0.95, 0.95, 0.38, 60, 400.0), (0.6, -0.3, 1.4, 300, 1.2))
        return ((-0.35, 1.35, 0.35, 60, 400.0), (0.3, -0.2, 1.5, 300, 1.2))

    def _radiant(self, kind: str, scale: float) -> dict[str, Any]:
        return {"type": kind, "radiance": {"type": "d65", "scale": scale}}

    def _sensor(self, camera: Camera) -> dict[str, Any]:
        look = self.mi.ScalarTransform4f().look_at(
            origin=list(camera.position_mm), target=list(camera.target_mm), up=list(camera.up)
        )
        film = {"type": "hdrfilm", "width": camera.width_px, "height": camera.height_px,
                "pixel_format": "rgb", "rfilter": {"type": "box"}}  # fmt: skip
        return {
            "type": "perspective",
            "fov": camera.field_deg,
            "fov_axis": "x",
            "near_clip": 10.0,
            "far_clip": 10000.0,
            "to_world": look,
            "film": film,
            "sampler": {"type": "independent"},
        }

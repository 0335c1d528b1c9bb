// SPDX-License-Identifier: Apache-2.0
/** What the scan page needs of three.js and three-mesh-bvh; `./run vendor` bundles it once. */
export {
  AmbientLight,
  Box3,
  BufferAttribute,
  BufferGeometry,
  Color,
  ConeGeometry,
  DirectionalLight,
  DoubleSide,
  Group,
  LineBasicMaterial,
  LineLoop,
  Line,
  Mesh,
  MeshBasicMaterial,
  MeshLambertMaterial,
  PerspectiveCamera,
  Plane,
  Raycaster,
  Scene,
  SphereGeometry,
  Vector2,
  Vector3,
  WebGLRenderer,
} from "three";
export { OrbitControls } from "three/addons/controls/OrbitControls.js";
export { MeshBVH, acceleratedRaycast } from "three-mesh-bvh";

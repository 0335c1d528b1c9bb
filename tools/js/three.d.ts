// SPDX-License-Identifier: Apache-2.0
/** What the bundle of three.js and three-mesh-bvh gives, as far as we use it; not typed further. */
export const AmbientLight: any;
export const Box3: any;
export const BufferAttribute: any;
export const BufferGeometry: any;
export const Color: any;
export const ConeGeometry: any;
export const DirectionalLight: any;
export const DoubleSide: any;
export const Group: any;
export const LineBasicMaterial: any;
export const LineLoop: any;
export const Line: any;
export const Mesh: any;
export const MeshBasicMaterial: any;
export const MeshLambertMaterial: any;
export const PerspectiveCamera: any;
export const Plane: any;
export const Raycaster: any;
export const Scene: any;
export const SphereGeometry: any;
export const Vector2: any;
export const Vector3: any;
export const WebGLRenderer: any;
export const OrbitControls: any;
export const MeshBVH: any;
export const acceleratedRaycast: any;

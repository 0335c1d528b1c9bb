// SPDX-License-Identifier: Apache-2.0
/** The picture of a scan: turned, cut, picked. Places go in and out in the file's coordinates. */
import {
  AmbientLight,
  BufferAttribute,
  BufferGeometry,
  ConeGeometry,
  DirectionalLight,
  DoubleSide,
  Group,
  Line,
  LineBasicMaterial,
  LineLoop,
  Mesh,
  MeshBasicMaterial,
  MeshBVH,
  MeshLambertMaterial,
  OrbitControls,
  PerspectiveCamera,
  Plane,
  Raycaster,
  Scene,
  SphereGeometry,
  Vector2,
  Vector3,
  WebGLRenderer,
  acceleratedRaycast,
} from "/static/vendor/three/scan_bundle.js";

/** @typedef {[number, number, number]} Place */
/** @typedef {import("./glb.js").Copy} Copy */

const TURN = Math.PI / 18;
const CLOSER = 1.25;
const TAP_PX = 6;
const FINGER_PX = 32;
const OBJECT = 0xcdb58a;

export class ScanScene {
  /**
   * Throws where no WebGL is to be had.
   * @param {HTMLElement} stage
   * @param {Copy} copy
   * @param {number[]} down what points down when it is shown whole
   */
  constructor(stage, copy, down) {
    this.stage = stage;
    this.middle = copy.middle;
    this.upward = new Vector3(...down).negate().normalize();
    this.renderer = new WebGLRenderer({ antialias: true, preserveDrawingBuffer: false });
    this.renderer.localClippingEnabled = true;
    this.renderer.setClearColor(0x2b2d30);
    this.canvas = /** @type {HTMLCanvasElement} */ (this.renderer.domElement);
    this.canvas.setAttribute("aria-hidden", "true");
    stage.append(this.canvas);
    this.scene = new Scene();
    this.camera = new PerspectiveCamera(30, 1, 0.001, 1000);
    this.lamp = new DirectionalLight(0xffffff, 2.3);
    this.scene.add(new AmbientLight(0xffffff, 0.5), this.camera);
    this.camera.add(this.lamp);
    this.lamp.position.set(-1, 1, 0.7);
    this.mesh = this.meshOf(copy);
    this.scene.add(this.mesh);
    this.drawn = new Group();
    this.pads = new Group();
    this.scene.add(this.drawn, this.pads);
    this.ray = new Raycaster();
    this.ray.firstHitOnly = true;
    this.controls = new OrbitControls(this.camera, this.canvas);
    this.controls.addEventListener("change", () => this.draw());
    this.isWhole = false; // as showAll left it: a window of another shape shows all again
    this.controls.addEventListener("start", () => (this.isWhole = false));
    /** @type {((place: Place) => void) | null} */
    this.onPick = null;
    this.isAsked = false;
    this.corner = -1; // of the copy, under the newest pick
    this.listen();
    new ResizeObserver(() => this.resize()).observe(stage);
    this.resize();
    this.showAll();
  }

  /** @param {Copy} copy */
  meshOf({ positions, indices }) {
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", new BufferAttribute(positions, 3));
    geometry.setIndex(new BufferAttribute(indices, 1));
    geometry.computeVertexNormals();
    geometry.computeBoundingSphere();
    geometry.computeBoundingBox();
    geometry.boundsTree = new MeshBVH(geometry, { indirect: true });
    this.material = new MeshLambertMaterial({ color: OBJECT, side: DoubleSide });
    const mesh = new Mesh(geometry, this.material);
    mesh.raycast = acceleratedRaycast;
    this.size = geometry.boundingSphere.radius;
    return mesh;
  }

  listen() {
    /** @type {{x: number, y: number} | null} */
    let began = null;
    this.canvas.addEventListener("pointerdown", (event) => {
      began = event.isPrimary ? { x: event.clientX, y: event.clientY } : null;
    });
    this.canvas.addEventListener("pointerup", (event) => {
      if (!began || !this.onPick) return;
      if (Math.hypot(event.clientX - began.x, event.clientY - began.y) > TAP_PX) return;
      const place = this.placeAt(event.clientX, event.clientY);
      if (place) this.onPick(place);
    });
    this.stage.addEventListener("keydown", (event) => this.key(event));
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    /** @type {Record<string, () => void>} */
    const does = {
      ArrowLeft: () => this.turn(-TURN, 0),
      ArrowRight: () => this.turn(TURN, 0),
      ArrowUp: () => this.turn(0, -TURN),
      ArrowDown: () => this.turn(0, TURN),
      "+": () => this.closer(CLOSER),
      "-": () => this.closer(1 / CLOSER),
      0: () => this.showAll(),
      Enter: () => this.pickMiddle(),
    };
    if (!does[event.key] || event.target !== this.stage) return;
    event.preventDefault();
    does[event.key]();
  }

  pickMiddle() {
    const { left, top, width, height } = this.canvas.getBoundingClientRect();
    const place = this.placeAt(left + width / 2, top + height / 2);
    if (place && this.onPick) this.onPick(place);
  }

  /**
   * Turn about the middle of the picture: round the screen's upright, then over.
   * @param {number} across
   * @param {number} over
   */
  turn(across, over) {
    this.isWhole = false;
    const arm = this.camera.position.clone().sub(this.controls.target);
    const right = new Vector3(1, 0, 0).applyQuaternion(this.camera.quaternion);
    arm.applyAxisAngle(this.camera.up, -across);
    const tilted = arm.clone().applyAxisAngle(right, over);
    // Straight over the pole the picture would flip.
    if (Math.abs(tilted.clone().normalize().dot(this.camera.up)) < 0.99) arm.copy(tilted);
    this.camera.position.copy(this.controls.target).add(arm);
    this.controls.update();
    this.draw();
  }

  /** @param {number} times */
  closer(times) {
    this.isWhole = false;
    const arm = this.camera.position.clone().sub(this.controls.target);
    const far = Math.min(Math.max(arm.length() / times, this.size * 0.05), this.size * 20);
    this.camera.position.copy(this.controls.target).add(arm.setLength(far));
    this.controls.update();
    this.draw();
  }

  showAll() {
    const half = (this.camera.fov / 2) * (Math.PI / 180);
    const fits = this.size / Math.sin(Math.atan(Math.tan(half) * Math.min(1, this.camera.aspect)));
    this.controls.target.set(0, 0, 0);
    this.camera.up.copy(this.upward);
    // Along the level direction that is shortest to look through: long objects lie across.
    const side = this.broadside();
    this.camera.position.copy(side).addScaledVector(this.upward, 0.35).setLength(fits * 1.02);
    this.camera.near = this.size / 100;
    this.camera.far = this.size * 50;
    this.camera.updateProjectionMatrix();
    this.controls.update();
    this.isWhole = true;
    this.draw();
  }

  /** Return the level direction along which the object is thinnest. */
  broadside() {
    const box = this.mesh.geometry.boundingBox;
    const extent = box.max.clone().sub(box.min).toArray();
    const ways = [new Vector3(1, 0, 0), new Vector3(0, -1, 0), new Vector3(0, 0, 1)];
    const level = ways
      .map((way, k) => ({ way: way.addScaledVector(this.upward, -way.dot(this.upward)), thick: extent[k] }))
      .filter(({ way }) => way.length() > 0.5)
      .sort((a, b) => a.thick - b.thick);
    return level[0].way.normalize();
  }

  /**
   * @param {number} clientX
   * @param {number} clientY
   */
  aim(clientX, clientY) {
    const { left, top, width, height } = this.canvas.getBoundingClientRect();
    const at = new Vector2(((clientX - left) / width) * 2 - 1, 1 - ((clientY - top) / height) * 2);
    this.ray.setFromCamera(at, this.camera);
  }

  /**
   * Return the place of the scan under a point of the window, in the file's coordinates.
   * @param {number} clientX
   * @param {number} clientY
   * @returns {Place | null}
   */
  placeAt(clientX, clientY) {
    this.aim(clientX, clientY);
    // What the section cut away cannot be picked: the first hit behind the cut counts.
    const [plane] = this.material.clippingPlanes ?? [];
    this.ray.firstHitOnly = !plane;
    const hits = this.ray.intersectObject(this.mesh);
    const hit = hits.find((/** @type {any} */ one) => !plane || plane.distanceToPoint(one.point) >= 0);
    this.corner = hit ? hit.face.a : -1;
    return hit ? this.outward(hit.point) : null;
  }

  /**
   * @param {any} point
   * @returns {Place}
   */
  outward(point) {
    const [x, y, z] = this.middle;
    return [point.x + x, point.y + y, point.z + z];
  }

  /** @param {number[]} place */
  inward([x, y, z]) {
    return new Vector3(x - this.middle[0], y - this.middle[1], z - this.middle[2]);
  }

  /**
   * Cut the scan across an axis of the file; null shows it whole.
   * @param {"x" | "y" | "z" | null} axis
   * @param {number} share
   */
  cut(axis, share) {
    const box = this.mesh.geometry.boundingBox;
    const at = axis && box.min[axis] + (box.max[axis] - box.min[axis]) * share;
    this.clip(axis && new Plane(new Vector3().setComponent("xyz".indexOf(axis), -1), at));
  }

  /**
   * Cut the scan by a plane given in the file's coordinates.
   * @param {number[]} origin
   * @param {number[]} way square to the plane; what lies that way is cut off
   */
  cutAt(origin, way) {
    this.clip(new Plane().setFromNormalAndCoplanarPoint(new Vector3(...way).negate(), this.inward(origin)));
  }

  /** @param {any} plane what to cut by, or null */
  clip(plane) {
    this.material.clippingPlanes = plane && [plane];
    this.material.needsUpdate = true;
    this.draw();
  }

  /**
   * Colour every corner of the copy.
   * @param {Float32Array} colours three shares a corner
   */
  paint(colours) {
    this.mesh.geometry.setAttribute("color", new BufferAttribute(colours, 3));
    this.material.vertexColors = true;
    this.material.color.set(0xffffff);
    this.material.needsUpdate = true;
    this.draw();
  }

  /**
   * Draw lines and picks anew.
   * @param {{points: number[][], closed: boolean, colour: number}[]} lines
   * @param {{at: number[], colour: number}[]} points
   */
  show(lines, points) {
    this.drawn.clear();
    for (const { points: line, closed, colour } of lines) {
      if (line.length < 2) continue;
      const geometry = new BufferGeometry().setFromPoints(line.map((one) => this.inward(one)));
      const material = new LineBasicMaterial({ color: colour, depthTest: false });
      this.drawn.add(closed ? new LineLoop(geometry, material) : new Line(geometry, material));
    }
    for (const { at, colour } of points) this.drawn.add(this.dot(at, colour));
    this.draw();
  }

  /**
   * @param {number[]} at
   * @param {number} colour
   */
  dot(at, colour) {
    const ball = new Mesh(
      new SphereGeometry(this.size * 0.012, 12, 8),
      new MeshBasicMaterial({ color: colour, depthTest: false }),
    );
    ball.position.copy(this.inward(at));
    ball.renderOrder = 2;
    return ball;
  }

  /**
   * Set a cone under each pad, its tip at the object.
   * @param {number[][]} places
   * @param {number[]} down
   */
  setPads(places, down) {
    this.pads.clear();
    const way = new Vector3(...down).normalize();
    for (const at of places) {
      const cone = new Mesh(
        new ConeGeometry(this.size * 0.04, this.size * 0.1, 20),
        new MeshBasicMaterial({ color: 0x9fc4c9 }),
      );
      cone.quaternion.setFromUnitVectors(new Vector3(0, 1, 0), way.clone().negate());
      cone.position.copy(this.inward(at)).addScaledVector(way, this.size * 0.05);
      this.pads.add(cone);
    }
    this.draw();
  }

  /**
   * Return where a place of the file stands in the window.
   * @param {number[]} place
   */
  screen(place) {
    return this.screenOf(this.inward(place));
  }

  /** @param {any} point about the middle */
  screenOf(point) {
    const { left, top, width, height } = this.canvas.getBoundingClientRect();
    const { x, y } = point.clone().project(this.camera);
    return { x: left + ((x + 1) / 2) * width, y: top + ((1 - y) / 2) * height };
  }

  /**
   * Return the number of the pad nearest to a point of the window within a finger's width, or -1.
   * @param {number} clientX
   * @param {number} clientY
   */
  padAt(clientX, clientY) {
    const off = this.pads.children.map((/** @type {any} */ cone) => {
      const { x, y } = this.screenOf(cone.position);
      return Math.hypot(x - clientX, y - clientY);
    });
    const least = Math.min(...off);
    return least <= FINGER_PX ? off.indexOf(least) : -1;
  }

  /** Return the look on the screen: direction, what is up, the middle and the width. */
  look() {
    const toward = this.controls.target.clone().sub(this.camera.position);
    const up = new Vector3(0, 1, 0).applyQuaternion(this.camera.quaternion);
    const half = (this.camera.fov / 2) * (Math.PI / 180);
    const high = 2 * toward.length() * Math.tan(half);
    return {
      toward: toward.normalize().toArray(),
      up: up.toArray(),
      middle: this.outward(this.controls.target),
      span: high * 1.5,
    };
  }

  resize() {
    const { clientWidth: width, clientHeight: height } = this.stage;
    if (!width || !height) return;
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.renderer.setSize(width, height);
    this.camera.aspect = width / height;
    this.camera.updateProjectionMatrix();
    if (this.isWhole) this.showAll();
    else this.draw();
  }

  draw() {
    if (this.isAsked) return;
    this.isAsked = true;
    requestAnimationFrame(() => {
      this.isAsked = false;
      this.renderer.render(this.scene, this.camera);
    });
  }
}

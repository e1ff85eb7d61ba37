// The view in three dimensions: one form, lit from the reader's side, turned by pointer or keys, cut by a plane, measured between two
// places. Loaded only when it is asked for; knows nothing of the page around it.

import {
  BufferAttribute, BufferGeometry, Color, DirectionalLight, DoubleSide, HemisphereLight, Line, LineBasicMaterial, Mesh as Body, MeshStandardMaterial,
  PerspectiveCamera, Plane, Raycaster, Scene, SphereGeometry, TorusGeometry, MeshBasicMaterial, Vector2, Vector3, WebGLRenderer,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { colour } from "./map";
import type { Mesh } from "./mesh";

const STEPS = 8;

export class View {
  private readonly renderer: WebGLRenderer;
  private readonly scene = new Scene();
  private readonly camera = new PerspectiveCamera(32, 1, 0.1, 500);
  private readonly controls: OrbitControls;
  private readonly plane = new Plane(new Vector3(0, -1, 0), 1000);
  private body: Body | null = null;
  /** Where the number on the map is greatest. */
  private readonly governing = new Body(new TorusGeometry(1, 0.16, 8, 32), new MeshBasicMaterial({ color: 0x1a1a1a, depthTest: false, transparent: true }));
  private marks: (Body | Line)[] = [];
  private spots: Vector3[] = [];
  private size = 10;
  private asked = false;

  constructor(private readonly canvas: HTMLCanvasElement, private readonly told: (mm: number | null) => void) {
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true });
    this.renderer.localClippingEnabled = true;
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    const light = new DirectionalLight(0xffffff, 2.2);
    light.position.set(1, 2, 3);
    this.camera.add(light);
    this.governing.visible = false;
    this.governing.renderOrder = 2;
    this.scene.add(this.camera, new HemisphereLight(0xffffff, 0x8a8a8a, 1.6), this.governing);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enablePan = false;
    this.controls.addEventListener("change", () => this.draw());
    canvas.addEventListener("dblclick", (e) => this.measure(e));
  }

  /** Shows a form. */
  show(mesh: Mesh): void {
    if (this.body) {
      this.scene.remove(this.body);
      this.body.geometry.dispose();
    }
    const form = new BufferGeometry();
    form.setAttribute("position", new BufferAttribute(mesh.places, 3));
    form.setIndex(new BufferAttribute(mesh.triangles, 1));
    form.computeVertexNormals();
    form.computeBoundingSphere();
    const { scalar } = mesh.header;
    if (scalar && mesh.scalar) {
      const table = Array.from({ length: STEPS }, (_, i) => new Color().setStyle(colour((i + 0.5) / STEPS).replaceAll(" ", ",")));
      const colours = new Float32Array(mesh.header.vertices * 3);
      mesh.scalar.forEach((v, i) => {
        const share = (v - scalar.low) / Math.max(scalar.high - scalar.low, 1e-12);
        (table[Math.min(STEPS - 1, Math.max(0, Math.floor(share * STEPS)))] as Color).toArray(colours, 3 * i);
      });
      form.setAttribute("color", new BufferAttribute(colours, 3));
    }
    const material = new MeshStandardMaterial({ color: scalar ? 0xffffff : 0xd9d2c4, vertexColors: Boolean(scalar), roughness: 0.62, side: DoubleSide, clippingPlanes: [this.plane] });
    this.body = new Body(form, material);
    this.scene.add(this.body);
    const sphere = form.boundingSphere;
    this.size = sphere?.radius ?? 10;
    this.govern(mesh);
    this.controls.target.copy(sphere?.center ?? new Vector3());
    this.camera.position.copy(this.controls.target).add(new Vector3(0.5, 0.55, 1).normalize().multiplyScalar(this.size * 4.2));
    this.forget();
    this.resize();
  }

  /** A ring round the place where the number is greatest. */
  private govern(mesh: Mesh): void {
    this.governing.visible = mesh.scalar !== null;
    if (!mesh.scalar) return;
    const most = mesh.scalar.reduce((at, v, i, all) => (v > (all[at] as number) ? i : at), 0);
    this.governing.position.fromArray(mesh.places, 3 * most);
    this.governing.scale.setScalar(this.size * 0.06);
  }

  /** Cuts the form at a share of its height, 1 leaves it whole. */
  cut(share: number): void {
    const middle = this.controls.target.y;
    this.plane.constant = share >= 1 ? 1e6 : middle + (2 * share - 1) * this.size;
    this.draw();
  }

  turn(across: number, up: number): void {
    const way = this.camera.position.clone().sub(this.controls.target);
    const length = way.length();
    const [theta, phi] = [Math.atan2(way.x, way.z) + across, Math.min(3.1, Math.max(0.04, Math.acos(way.y / length) - up))];
    this.camera.position.copy(this.controls.target).add(new Vector3(Math.sin(theta) * Math.sin(phi), Math.cos(phi), Math.cos(theta) * Math.sin(phi)).multiplyScalar(length));
    this.controls.update();
    this.draw();
  }

  near(by: number): void {
    const way = this.camera.position.clone().sub(this.controls.target).multiplyScalar(by);
    if (way.length() > this.size * 1.2 && way.length() < this.size * 20) this.camera.position.copy(this.controls.target).add(way);
    this.draw();
  }

  /** Marks the place in the middle of the view, or under the pointer; two places are measured. */
  measure(event?: MouseEvent): void {
    if (!this.body) return;
    const box = this.canvas.getBoundingClientRect();
    const spot = event ? new Vector2(((event.clientX - box.left) / box.width) * 2 - 1, 1 - ((event.clientY - box.top) / box.height) * 2) : new Vector2(0, 0);
    const ray = new Raycaster();
    ray.setFromCamera(spot, this.camera);
    const hit = ray.intersectObject(this.body).find((h) => this.plane.distanceToPoint(h.point) >= 0);
    if (!hit) return;
    if (this.spots.length >= 2) this.forget();
    this.spots.push(hit.point.clone());
    const dot = new Body(new SphereGeometry(this.size * 0.018), new MeshBasicMaterial({ color: 0x0b4f8a, depthTest: false }));
    dot.position.copy(hit.point);
    this.mark(dot);
    const [a, b] = this.spots;
    if (a && b) {
      this.mark(new Line(new BufferGeometry().setFromPoints([a, b]), new LineBasicMaterial({ color: 0x0b4f8a, depthTest: false })));
      this.told(a.distanceTo(b));
    }
    this.draw();
  }

  forget(): void {
    for (const mark of this.marks) this.scene.remove(mark);
    [this.marks, this.spots] = [[], []];
    this.told(null);
    this.draw();
  }

  resize(): void {
    const { clientWidth, clientHeight } = this.canvas;
    this.renderer.setSize(clientWidth, clientHeight, false);
    this.camera.aspect = clientWidth / Math.max(clientHeight, 1);
    this.camera.updateProjectionMatrix();
    this.controls.update();
    this.draw();
  }

  close(): void {
    this.controls.dispose();
    this.renderer.dispose();
  }

  private mark(mark: Body | Line): void {
    this.marks.push(mark);
    this.scene.add(mark);
  }

  private draw(): void {
    if (this.asked) return;
    this.asked = true;
    requestAnimationFrame(() => {
      this.asked = false;
      this.governing.quaternion.copy(this.camera.quaternion);
      this.renderer.render(this.scene, this.camera);
    });
  }
}

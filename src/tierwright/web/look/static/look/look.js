// The finished cake, turned by hand. Its surfaces come from the server; nothing about the cake is worked out here.
import {
  BufferAttribute, BufferGeometry, CircleGeometry, Color, DirectionalLight, HemisphereLight, InstancedMesh, Matrix4,
  Mesh, MeshLambertMaterial, MeshPhongMaterial, PCFShadowMap, PerspectiveCamera, Scene, SRGBColorSpace, Vector3,
  WebGLRenderer, DoubleSide,
} from "../web/vendor/three/three.module.min.js";

const figure = document.querySelector("[data-look]");
const canvas = figure.querySelector("canvas");
const wait = figure.querySelector(".wait");
const hands = figure.querySelector(".hands");

const bytes = (text) => Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));

function geometry(model) {
  const whole = new Int16Array(bytes(model.points).buffer);
  const points = new Float32Array(whole.length);
  for (let i = 0; i < whole.length; i += 1) points[i] = whole[i] * model.step;
  const faces = [];
  let first = 0;
  for (const [rows, columns, closed] of model.grids) {
    for (let row = 0; row + 1 < rows; row += 1) {
      for (let column = 0; column < (closed ? columns : columns - 1); column += 1) {
        const a = first + row * columns + column;
        const b = first + row * columns + ((column + 1) % columns);
        faces.push(a, b, b + columns, a, b + columns, a + columns);
      }
    }
    first += rows * columns;
  }
  if (model.faces) {
    const raw = bytes(model.faces).buffer;
    for (const corner of model.wide ? new Uint32Array(raw) : new Uint16Array(raw)) faces.push(corner);
  }
  const made = new BufferGeometry();
  made.setAttribute("position", new BufferAttribute(points, 3));
  made.setIndex(faces);
  if (model.tint) made.setAttribute("color", new BufferAttribute(bytes(model.tint), 3, true));
  made.computeVertexNormals();
  return made;
}

function material(model) {
  const common = { side: DoubleSide, vertexColors: Boolean(model.tint) };
  switch (model.material) {
    case "metal": return new MeshPhongMaterial({ ...common, shininess: 60, specular: 0xfff0c0 });
    case "poured": return new MeshPhongMaterial({ ...common, shininess: 90, specular: 0x777777 });
    case "ribbon": return new MeshPhongMaterial({ ...common, shininess: 25, specular: 0x333333 });
    default: return new MeshLambertMaterial(common);
  }
}

function placed(model) {
  const shape = geometry(model);
  const colours = model.colours.map((hue) => new Color().setStyle(hue, SRGBColorSpace));
  const stuff = material(model);
  let made;
  if (model.places) {
    const numbers = new Float32Array(bytes(model.places).buffer);
    const count = numbers.length / 12;
    made = new InstancedMesh(shape, stuff, count);
    const place = new Matrix4();
    for (let i = 0; i < count; i += 1) {
      const m = numbers.subarray(12 * i, 12 * i + 12);
      place.set(m[0], m[1], m[2], m[3], m[4], m[5], m[6], m[7], m[8], m[9], m[10], m[11], 0, 0, 0, 1);
      made.setMatrixAt(i, place);
      made.setColorAt(i, colours[model.colour_of ? model.colour_of[i] : 0]);
    }
    made.computeBoundingSphere();
  } else {
    stuff.color = colours[0];
    made = new Mesh(shape, stuff);
  }
  made.castShadow = made.receiveShadow = true;
  made.name = model.name;
  return made;
}

function world(cake) {
  const scene = new Scene();
  for (const model of cake.models) scene.add(placed(model));
  const table = new Mesh(new CircleGeometry(cake.reach_mm * 1.7, 64), new MeshLambertMaterial({ color: 0xd9d2c8 }));
  table.position.z = cake.floor_mm - 0.2;
  table.receiveShadow = true;
  scene.add(table);
  const sky = new HemisphereLight(0xffffff, 0xb8a893, 1.55);
  sky.position.set(0, 0, 1);
  scene.add(sky);
  const size = Math.max(cake.top_mm - cake.floor_mm, 2 * cake.reach_mm);
  const sun = new DirectionalLight(0xfff3e2, 2.0);
  sun.position.set(-0.9 * size, -1.1 * size, 1.5 * size);
  sun.target.position.set(0, 0, cake.top_mm / 2);
  sun.castShadow = true;
  sun.shadow.mapSize.set(1024, 1024);
  Object.assign(sun.shadow.camera, {
    left: -size, right: size, top: size, bottom: -size, near: 0.1 * size, far: 4.5 * size,
  });
  sun.shadow.normalBias = 1.2;
  sun.shadow.bias = -0.0006;
  scene.add(sun, sun.target);
  const fill = new DirectionalLight(0xdfe8ff, 0.45);
  fill.position.set(size, -0.6 * size, 0.5 * size);
  scene.add(fill);
  return scene;
}

function begin(cake) {
  const renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true, powerPreference: "low-power" });
  renderer.outputColorSpace = SRGBColorSpace;
  renderer.shadowMap.enabled = true;
  renderer.shadowMap.type = PCFShadowMap;
  const scene = world(cake);
  const camera = new PerspectiveCamera(24, 1, 10, 20000);
  camera.up.set(0, 0, 1);
  const middle = new Vector3(0, 0, (cake.floor_mm + cake.top_mm) / 2);
  const FRONT = { turn: -0.24, tip: 0.26, near: 1 };
  const view = { ...FRONT };
  let ratio = Math.min(window.devicePixelRatio || 1, 2);
  let byItself = !matchMedia("(prefers-reduced-motion: reduce)").matches;
  let asked = false;
  let last = 0;
  const spans = [];

  const limit = (value, low, high) => Math.min(high, Math.max(low, value));
  const look = () => {
    const high = (cake.top_mm - cake.floor_mm) * Math.cos(view.tip) + 2 * cake.reach_mm * Math.sin(view.tip);
    const span = 1.06 * Math.max(2 * cake.reach_mm / camera.aspect, high);
    const away = (span / 2 / Math.tan((camera.fov * Math.PI) / 360) + 0.5 * cake.reach_mm) / view.near;
    camera.position.set(
      away * Math.cos(view.tip) * Math.sin(view.turn), -away * Math.cos(view.tip) * Math.cos(view.turn),
      middle.z + away * Math.sin(view.tip),
    );
    camera.lookAt(middle);
  };
  const size = () => {
    const { clientWidth, clientHeight } = canvas.parentElement;
    renderer.setPixelRatio(ratio);
    renderer.setSize(clientWidth, clientHeight, false);
    camera.aspect = clientWidth / clientHeight;
    camera.updateProjectionMatrix();
    ask();
  };
  // A machine without a graphics chip gets fewer points rather than fewer pictures a second.
  const spare = (span) => {
    spans.push(span);
    if (spans.length < 12) return;
    const middling = spans.sort((a, b) => a - b)[6];
    spans.length = 0;
    canvas.dataset.span = middling.toFixed(1);
    if (middling > 27 && ratio > 0.5) {
      ratio = Math.max(0.5, ratio * (middling > 50 ? 0.7 : 0.85));
      size();
    }
  };
  const frame = (now) => {
    asked = false;
    const span = now - last;
    last = now;
    if (byItself) {
      if (span < 250) {
        view.turn += Math.min(span, 100) * 0.00035;
        spare(span);
      }
      ask();
    }
    look();
    renderer.render(scene, camera);
    renderer.shadowMap.autoUpdate = false;
    canvas.dataset.frames = Number(canvas.dataset.frames || 0) + 1;
  };
  const ask = () => {
    if (asked) return;
    asked = true;
    requestAnimationFrame(frame);
  };
  const mover = figure.querySelector("[data-by-itself]");
  const goByItself = (on) => {
    byItself = on;
    mover.setAttribute("aria-pressed", String(on));
    ask();
  };
  const by = (turn, tip, near) => {
    view.turn += turn;
    view.tip = limit(view.tip + tip, -0.05, 1.45);
    view.near = limit(view.near * near, 0.6, 5);
    goByItself(false);
  };

  const held = new Map();
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    held.set(event.pointerId, [event.clientX, event.clientY]);
  });
  canvas.addEventListener("pointermove", (event) => {
    const before = held.get(event.pointerId);
    if (!before) return;
    const other = [...held].find(([key]) => key !== event.pointerId)?.[1];
    if (other) {
      const apart = (x, y) => Math.hypot(x - other[0], y - other[1]) || 1;
      by(0, 0, apart(event.clientX, event.clientY) / apart(...before));
    } else {
      by(-(event.clientX - before[0]) * 0.008, (event.clientY - before[1]) * 0.006, 1);
    }
    held.set(event.pointerId, [event.clientX, event.clientY]);
  });
  for (const end of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(end, (event) => held.delete(event.pointerId));
  }
  canvas.addEventListener("wheel", (event) => {
    // The page itself is scrolled unless the view is in use.
    if (document.activeElement !== canvas) return;
    event.preventDefault();
    by(0, 0, Math.exp(-event.deltaY * 0.001));
  }, { passive: false });
  const front = () => {
    Object.assign(view, FRONT);
    goByItself(false);
  };
  const KEYS = {
    ArrowLeft: () => by(-0.15, 0, 1), ArrowRight: () => by(0.15, 0, 1), ArrowUp: () => by(0, 0.1, 1),
    ArrowDown: () => by(0, -0.1, 1), "+": () => by(0, 0, 1.15), "=": () => by(0, 0, 1.15), "-": () => by(0, 0, 1 / 1.15),
    Home: front,
  };
  canvas.addEventListener("keydown", (event) => {
    if (!KEYS[event.key] || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    KEYS[event.key]();
  });
  hands.addEventListener("click", (event) => {
    const { turn, tip, near, front: toFront, byItself: toggle } = event.target.dataset;
    if (turn) by(0.3 * Number(turn), 0, 1);
    else if (tip) by(0, 0.15 * Number(tip), 1);
    else if (near) by(0, 0, 1.2 ** Number(near));
    else if (toFront !== undefined) front();
    else if (toggle !== undefined) goByItself(!byItself);
  });
  canvas.addEventListener("webglcontextlost", () => without());

  wait.hidden = true;
  canvas.hidden = hands.hidden = false;
  new ResizeObserver(size).observe(canvas.parentElement);
  size();
  goByItself(byItself);
  canvas.dataset.ready = "yes";
}

function without() {
  wait.hidden = canvas.hidden = hands.hidden = true;
  figure.querySelector(".without").hidden = false;
}

try {
  const answer = await fetch(figure.dataset.look);
  if (!answer.ok) throw new Error(`the view's data: ${answer.status}`);
  begin(await answer.json());
} catch (error) {
  console.warn(error);
  without();
}

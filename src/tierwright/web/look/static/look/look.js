// The finished cake, turned by hand. Its surfaces come from the server; nothing about the cake is worked out here.
import {
  BufferAttribute, BufferGeometry, Color, DoubleSide, FrontSide, GLSL3, Matrix3, Matrix4, Mesh, PerspectiveCamera,
  RawShaderMaterial, RingGeometry, Scene, SRGBColorSpace, Vector3, WebGLRenderer,
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
  const apart = (a, b) => [0, 1, 2].some((k) => whole[3 * a + k] !== whole[3 * b + k]);
  const faces = [];
  let first = 0;
  for (const [rows, columns, closed] of model.grids) {
    for (let row = 0; row + 1 < rows; row += 1) {
      for (let column = 0; column < (closed ? columns : columns - 1); column += 1) {
        const a = first + row * columns + column;
        const b = first + row * columns + ((column + 1) % columns);
        // A row may be drawn together in one point.
        if (apart(a, b)) faces.push(a, b, b + columns);
        if (apart(a + columns, b + columns)) faces.push(a, b + columns, a + columns);
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

// The light stands still while the eye goes round, so it is worked once for every point: a machine without a graphics
// chip then has nothing left to do but to fill triangles.
const SUNS = [[-0.5, -0.62, 0.6], [-0.42, -0.7, 0.58], [-0.58, -0.52, 0.63], [-0.5, -0.6, 0.72]].map(
  (way) => new Vector3(...way).normalize(),
);
const FILL = new Vector3(0.75, -0.5, 0.35).normalize();
const EYE = new Vector3(-0.2, -0.95, 0.25).normalize();
const GLOSS = { poured: [0.55, 40], metal: [0.9, 12], ribbon: [0.25, 20], board: [0.08, 30], coat: [0.05, 16] };
const BOTH_SIDES = new Set(["petal", "metal"]);
const SECTORS = 128;

class Shade {
  constructor(cake) {
    // Every tier's reach by direction: all outlines are seen whole from their middle.
    this.tiers = cake.tiers.map(({ foot_mm: foot, top_mm: top, top_scale: lean, ring }) => {
      const reach = new Float32Array(SECTORS);
      for (let i = 0; i < SECTORS; i += 1) reach[i] = Shade.reach(ring, ((i + 0.5) / SECTORS) * 2 * Math.PI - Math.PI);
      return { foot, top, lean, reach, most: Math.max(...reach) };
    });
    this.top = Math.max(...this.tiers.map((tier) => tier.top));
  }

  static reach(ring, turn) {
    const [dx, dy] = [Math.cos(turn), Math.sin(turn)];
    let found = 0;
    for (let i = 0; i < ring.length; i += 1) {
      const [x1, y1] = ring[i];
      const [x2, y2] = ring[(i + 1) % ring.length];
      const across = dx * (y2 - y1) - dy * (x2 - x1);
      if (Math.abs(across) < 1e-9) continue;
      const away = (x1 * (y2 - y1) - y1 * (x2 - x1)) / across;
      const share = (x1 * dy - y1 * dx) / across;
      if (away > found && share >= -1e-6 && share <= 1 + 1e-6) found = away;
    }
    return found;
  }

  // Whether a place lies so deep in a tier, or on the level that a tier stands on, that nobody can see it.
  buries(x, y, z) {
    return this.tiers.some((tier) => z > tier.foot - 0.6 && z < tier.top - 0.6 && this.outside(tier, x, y, z) < -8);
  }

  // How far outside a tier's side a place lies. [mm]
  outside(tier, x, y, z) {
    const far = Math.hypot(x, y);
    const sector = Math.min(SECTORS - 1, Math.floor(((Math.atan2(y, x) + Math.PI) / (2 * Math.PI)) * SECTORS));
    const share = (z - tier.foot) / (tier.top - tier.foot);
    return far - tier.reach[sector] * (1 - share * (1 - tier.lean));
  }

  sees(point, sun) {
    const span = (this.top - point.z) / sun.z;
    if (span < 2) return 1;
    for (let away = 5; away < span; away += Math.max(5, span / 14)) {
      const [x, y, z] = [point.x + sun.x * away, point.y + sun.y * away, point.z + sun.z * away];
      for (const tier of this.tiers) {
        if (z > tier.foot && z < tier.top && Math.hypot(x, y) < tier.most && this.outside(tier, x, y, z) < -1.5) return 0;
      }
    }
    return 1;
  }

  // Near a wall, and near the floor, less of the room is seen.
  open(point, facing) {
    let light = 1;
    for (const tier of this.tiers) {
      if (point.z > tier.top - 1) continue;
      const away = this.outside(tier, point.x, point.y, Math.max(point.z, tier.foot));
      const below = Math.max(0, tier.foot - point.z);
      if (facing.z > 0.3 && away > -1) light *= 1 - 0.5 * facing.z * Math.exp(-(away + below) / 22);
      if (Math.abs(facing.z) < 0.6 && Math.abs(away) < 6 && point.z >= tier.foot) {
        light *= 1 - 0.3 * Math.exp(-(point.z - tier.foot) / 16);
      }
    }
    return light;
  }

  // Light at a place, and what a gloss adds to it.
  at(point, facing, [shine, tight]) {
    let sun = 0;
    let glint = 0;
    for (const way of SUNS) {
      const square = facing.dot(way);
      if (square > 0 && this.sees(point, way)) {
        sun += square / SUNS.length;
        const half = way.clone().add(EYE).normalize();
        glint += Math.max(0, facing.dot(half)) ** tight / SUNS.length;
      }
    }
    const open = this.open(point, facing);
    const sky = 0.46 + 0.17 * facing.z;
    const side = 0.12 * Math.max(0, facing.dot(FILL));
    return [open * (sky + side) + 0.62 * sun, shine * glint * 0.5];
  }
}

// Fewer points than these are not shown: across, and for each point of the page.
const FEWEST = 230;
const COARSEST = 0.5;
const SLOW_MS = 36;
const HERE = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0];

// Light as a screen takes it, so that nothing has to be worked out for a point of the picture any more.
const coded = (light) => {
  const part = Math.min(1, Math.max(0, light));
  return Math.round(255 * (part <= 0.0031308 ? 12.92 * part : 1.055 * part ** (1 / 2.4) - 0.055));
};

function lit(shade, shape, model, points, colours, faces, scratch) {
  const { place, turn, point, facing } = scratch;
  const numbers = model.places ? new Float32Array(bytes(model.places).buffer) : HERE;
  const held = shape.getAttribute("position");
  const normals = shape.getAttribute("normal");
  const tint = shape.getAttribute("color");
  const gloss = GLOSS[model.material] ?? [0, 1];
  const hues = model.colours.map((hue) => new Color().setStyle(hue, SRGBColorSpace));
  const corners = shape.getIndex().array;
  const deep = new Uint8Array(held.count);
  const at = new Int32Array(held.count);
  for (let i = 0; i < numbers.length / 12; i += 1) {
    const m = numbers.slice(12 * i, 12 * i + 12);
    place.set(...m, 0, 0, 0, 1);
    turn.getNormalMatrix(place);
    const hue = hues[model.colour_of ? model.colour_of[i] : 0];
    for (let j = 0; j < held.count; j += 1) {
      point.fromBufferAttribute(held, j).applyMatrix4(place);
      deep[j] = Number(shade.buries(point.x, point.y, point.z));
      at[j] = -1;
    }
    const add = (j) => {
      if (at[j] >= 0) return at[j];
      at[j] = points.length / 3;
      point.fromBufferAttribute(held, j).applyMatrix4(place);
      facing.fromBufferAttribute(normals, j).applyMatrix3(turn).normalize();
      // A petal's other side is as bright as the one that is turned up.
      if (BOTH_SIDES.has(model.material) && facing.dot(EYE) < 0 && facing.z < 0) facing.negate();
      const [light, glint] = shade.at(point, facing, gloss);
      points.push(point.x, point.y, point.z);
      for (const [k, part] of [hue.r, hue.g, hue.b].entries()) {
        colours.push(coded(part * (tint ? tint.getComponent(j, k) : 1) * light + glint));
      }
      return at[j];
    };
    for (let j = 0; j < corners.length; j += 3) {
      const [a, b, c] = [corners[j], corners[j + 1], corners[j + 2]];
      if (!(deep[a] && deep[b] && deep[c])) faces.push(add(a), add(b), add(c));
    }
  }
}

const VERTEX = `
uniform mat4 modelViewMatrix, projectionMatrix;
in vec3 position, color;
out vec3 tone;
void main() { tone = color; gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }`;
const FRAGMENT = `
precision mediump float;
in vec3 tone;
out vec4 light;
void main() { light = vec4(tone, 1.0); }`;

function surface(points, colours, faces, side) {
  const made = new BufferGeometry();
  made.setAttribute("position", new BufferAttribute(new Float32Array(points), 3));
  made.setAttribute("color", new BufferAttribute(new Uint8Array(colours), 3, true));
  made.setIndex(faces);
  const material = new RawShaderMaterial({ glslVersion: GLSL3, vertexShader: VERTEX, fragmentShader: FRAGMENT, side });
  return new Mesh(made, material);
}

// Everything as two surfaces. Between two things a breath is taken where somebody may be waiting for the page.
async function world(cake, sparing, breath) {
  const scene = new Scene();
  const shade = new Shade(cake);
  const scratch = { place: new Matrix4(), turn: new Matrix3(), point: new Vector3(), facing: new Vector3() };
  for (const side of [FrontSide, DoubleSide]) {
    const [points, colours, faces] = [[], [], []];
    for (const model of cake.models) {
      if (BOTH_SIDES.has(model.material) !== (side === DoubleSide)) continue;
      lit(shade, geometry(model), model, points, colours, faces, scratch);
      await breath?.();
    }
    if (side === FrontSide) {
      const table = new RingGeometry(0.5 * cake.reach_mm, 1.9 * cake.reach_mm, sparing ? 48 : 72, sparing ? 10 : 22);
      table.translate(0, 0, cake.floor_mm - 0.2);
      const cloth = { material: "cloth", colours: ["#d9d2c8"] };
      lit(shade, table, cloth, points, colours, faces, scratch);
    }
    if (faces.length) scene.add(surface(points, colours, faces, side));
  }
  return scene;
}

// Chromium and Firefox name a renderer that has no chip behind it.
function inSoftware() {
  const probe = document.createElement("canvas").getContext("webgl2");
  const told = probe?.getExtension("WEBGL_debug_renderer_info");
  const name = told ? String(probe.getParameter(told.UNMASKED_RENDERER_WEBGL)) : "";
  probe?.getExtension("WEBGL_lose_context")?.loseContext();
  return /swiftshader|llvmpipe|software|basic render/i.test(name);
}

async function fetched(sparing) {
  const address = new URL(figure.dataset.look, location.href);
  if (sparing) address.searchParams.set("sparing", "yes");
  const answer = await fetch(address);
  if (!answer.ok) throw new Error(`the view's data: ${answer.status}`);
  return answer.json();
}

const breath = () => new Promise((done) => setTimeout(done, 0));

async function begin(slow) {
  const cake = await fetched(slow);
  const renderer = new WebGLRenderer({ canvas, antialias: !slow, alpha: true, powerPreference: "low-power" });
  renderer.outputColorSpace = SRGBColorSpace;
  const quick = await world(cake, slow);
  let fine = slow ? null : quick;
  const camera = new PerspectiveCamera(24, 1, 10, 20000);
  camera.up.set(0, 0, 1);
  const middle = new Vector3(0, 0, (cake.floor_mm + cake.top_mm) / 2);
  const FRONT = { turn: -0.24, tip: 0.26, near: 1 };
  const view = { ...FRONT };
  let ratio = slow ? 1 : Math.min(window.devicePixelRatio || 1, 2);
  let byItself = !matchMedia("(prefers-reduced-motion: reduce)").matches;
  const sharpest = slow ? 2 : ratio;
  let asked = false;
  let resting = 0;
  let rested = false;
  let asking = false;
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
    renderer.setPixelRatio(rested ? sharpest : ratio);
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
    const least = Math.min(1, Math.max(COARSEST, FEWEST / canvas.parentElement.clientWidth));
    if (middling > SLOW_MS && ratio > least) {
      ratio = Math.max(least, ratio * (middling > 50 ? 0.7 : 0.85));
      size();
    }
  };
  const frame = (now) => {
    asked = false;
    const span = now - last;
    last = now;
    clearTimeout(resting);
    if (!byItself && !rested) resting = setTimeout(rest, 250);
    if (byItself) {
      view.turn += Math.min(span, 100) * 0.00035;
      if (span < 2000) spare(span);
      ask();
    }
    look();
    renderer.render(rested ? fine ?? quick : quick, camera);
    canvas.dataset.frames = Number(canvas.dataset.frames || 0) + 1;
  };
  // What stands still is shown as sharp and as fine as can be.
  const rest = async () => {
    rested = true;
    size();
    if (fine || asking) return;
    asking = true;
    fine = await fetched(false).then((cake) => world(cake, false, breath)).catch(() => quick);
    canvas.dataset.fine = "yes";
    if (rested) ask();
  };
  const ask = () => {
    if (asked) return;
    asked = true;
    requestAnimationFrame(frame);
  };
  const mover = figure.querySelector("[data-by-itself]");
  const goByItself = (on) => {
    byItself = on;
    if (rested) {
      rested = false;
      size();
    }
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
  await begin(inSoftware());
} catch (error) {
  console.warn(error);
  without();
}

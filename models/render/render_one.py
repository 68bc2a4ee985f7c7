"""Runs inside Blender:  blender -b --factory-startup -P render_one.py -- JOB.json OUTDIR [key=value ...]
JOB.json holds one scene. Writes NAME.jpg, NAME.mask.png, NAME.json into OUTDIR. Scene unit: millimetre."""

import sys, os, json, math, time, tempfile

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, HERE)
import bpy, mathutils
from bpy_extras.object_utils import world_to_camera_view
import numpy as np, cv2
from PIL import Image
import shapes, population as pop, camera, mat_art

t0 = time.time()
argv = sys.argv[sys.argv.index('--') + 1 :]
job = json.load(open(argv[0]))
out = argv[1]
for kv in argv[2:]:
	k, v = kv.split('=', 1)
	job[k] = json.loads(v)
seed = job['seed']
rng = np.random.default_rng(seed)
W, H = job.get('size', [2016, 1512])
TMP = tempfile.mkdtemp()
lib = shapes.build_library(1)
fams = sorted(lib)

# ---------------------------------------------------------------- particles
surface = job['surface']
FIELD = (170.0, 100.0) if surface == 'mat' else (196.0, 136.0)
tile = job.get('tile')  # [width, height] in mm: a close-up that fills the frame, no mat corners in sight
if tile:
	FIELD = tuple(t * job.get('reach', 1.16) for t in tile)
if 'run' in job:
	r = job['run']
	P = pop.make_population(job['components'], r['population'], lib, np.random.default_rng(r['pop_seed']))
	poptruth = pop.composition(P)
	a = r['tray_index'] * r['tray_slot']
	P = P.take(np.arange(a, a + r['tray_slot']))
else:
	P = pop.make_population(job['components'], 40000, lib, rng)
	poptruth = pop.composition(P)
area = FIELD[0] * FIELD[1] if tile else 170 * 100.0 if surface == 'mat' else 200 * 140.0
want = job['coverage']
cum = np.cumsum(P.foot)
n = int(np.searchsorted(cum, -np.log(1 - min(want * 1.02, 0.95)) * area * job.get('cover_k', 0.86)))
n = int(np.clip(n, job.get('least', 60 if tile else 900), min(5200, len(P))))
P = P.take(np.arange(n))
R, T, ok = pop.place(P, lib, FIELD[0], FIELD[1], rng, spread=job.get('spread'))
keep = np.where(ok)[0]
P = P.take(keep)
R = R[keep]
T = T[keep]
n = len(P)
t_place = time.time() - t0

# ---------------------------------------------------------------- scene
bpy.ops.wm.read_factory_settings(use_empty=True)
sc = bpy.context.scene
sc.render.engine = 'CYCLES'
wet = float(job.get('wet', 0))


def nodes(name):
	m = bpy.data.materials.new(name)
	m.use_nodes = True
	t = m.node_tree
	b = t.nodes['Principled BSDF']
	return m, t, b


def mk(t, kind, **kw):
	nd = t.nodes.new(kind)
	for k, v in kw.items():
		if k in nd.inputs:
			nd.inputs[k].default_value = v
		else:
			setattr(nd, k, v)
	return nd


def particle_mat(name, metallic, rough, bump=0.15, bscale=6.0, stretch=None, spec=0.5, tarn=None, stripe=None):
	m, t, b = nodes(name)
	L = t.links.new
	oi = mk(t, 'ShaderNodeObjectInfo')
	tc = mk(t, 'ShaderNodeTexCoord')
	ma = mk(t, 'ShaderNodeMapping')
	# shift the texture per object, otherwise copies of a mesh look alike
	cx = mk(t, 'ShaderNodeMath', operation='MULTIPLY')
	cx.inputs[1].default_value = 37.0
	L(oi.outputs['Random'], cx.inputs[0])
	L(cx.outputs[0], ma.inputs['Location'])
	if stretch:
		ma.inputs['Scale'].default_value = stretch
	L(tc.outputs['Object'], ma.inputs['Vector'])
	nz = mk(t, 'ShaderNodeTexNoise')
	nz.inputs['Scale'].default_value = bscale
	nz.inputs['Detail'].default_value = 1
	L(ma.outputs[0], nz.inputs['Vector'])
	# brightness variation
	mr = mk(t, 'ShaderNodeMapRange')
	mr.inputs['To Min'].default_value = 0.78
	mr.inputs['To Max'].default_value = 1.18
	L(nz.outputs['Fac'], mr.inputs['Value'])
	mx = mk(t, 'ShaderNodeMixRGB', blend_type='MULTIPLY')
	mx.inputs['Fac'].default_value = 1
	src = oi.outputs['Color']
	if stripe:
		sx = mk(t, 'ShaderNodeSeparateXYZ')
		L(tc.outputs['Object'], sx.inputs[0])
		gt = mk(t, 'ShaderNodeMath', operation='GREATER_THAN')
		gt.inputs[1].default_value = 0.04
		L(sx.outputs['Y'], gt.inputs[0])
		sm = mk(t, 'ShaderNodeMixRGB')
		sm.inputs['Color2'].default_value = (*stripe, 1)
		L(gt.outputs[0], sm.inputs['Fac'])
		L(src, sm.inputs['Color1'])
		src = sm.outputs[0]
	L(src, mx.inputs['Color1'])
	L(mr.outputs[0], mx.inputs['Color2'])
	colr = mx.outputs[0]
	if tarn:
		n2 = mk(t, 'ShaderNodeTexNoise')
		n2.inputs['Scale'].default_value = 1.3
		n2.inputs['Detail'].default_value = 1
		L(ma.outputs[0], n2.inputs['Vector'])
		rr = mk(t, 'ShaderNodeMapRange')
		rr.inputs['From Min'].default_value = tarn[1]
		rr.inputs['From Max'].default_value = tarn[1] + 0.22
		rr.inputs['To Max'].default_value = tarn[2]
		L(n2.outputs['Fac'], rr.inputs['Value'])
		tm = mk(t, 'ShaderNodeMixRGB')
		tm.inputs['Color2'].default_value = (*tarn[0], 1)
		L(rr.outputs[0], tm.inputs['Fac'])
		L(colr, tm.inputs['Color1'])
		colr = tm.outputs[0]
	L(colr, b.inputs['Base Color'])
	b.inputs['Metallic'].default_value = metallic
	b.inputs['Specular'].default_value = spec
	ro = mk(t, 'ShaderNodeMapRange')
	f = (1 - 0.55 * wet) * job.get('rough_k', 1.0)
	ro.inputs['To Min'].default_value = rough[0] * f
	ro.inputs['To Max'].default_value = rough[1] * f
	L(oi.outputs['Random'], ro.inputs['Value'])
	L(ro.outputs[0], b.inputs['Roughness'])
	if wet > 0:
		b.inputs['Clearcoat'].default_value = min(1, wet)
		b.inputs['Clearcoat Roughness'].default_value = 0.04
	bp = mk(t, 'ShaderNodeBump')
	bp.inputs['Strength'].default_value = bump * (1 - 0.5 * wet)
	bp.inputs['Distance'].default_value = 0.06
	L(nz.outputs['Fac'], bp.inputs['Height'])
	L(bp.outputs[0], b.inputs['Normal'])
	return m


tn = job.get('tarnish_cover', 0.35)
M = {
	'copper': particle_mat('copper', 1, (0.24, 0.46), 0.35, 3.0, (0.5, 3, 3), tarn=((0.36, 0.165, 0.09), 0.62 - 0.25 * tn, 0.55)),
	'copper_ox': particle_mat('copper_ox', 0.85, (0.38, 0.6), 0.3, 3.0, (0.8, 2, 2), tarn=((0.10, 0.05, 0.03), 0.5, 0.5)),
	'copper_cut': particle_mat('copper_cut', 1, (0.3, 0.5), 0.5, 5.0),
	'tinned': particle_mat('tinned', 1, (0.28, 0.48), 0.3, 3.0, (0.5, 3, 3), tarn=((0.33, 0.32, 0.30), 0.5, 0.5)),
	'alu': particle_mat('alu', 1, (0.28, 0.5), 0.5, 3.5, (1, 1.6, 1), tarn=((0.5, 0.5, 0.5), 0.5, 0.5)),
	'ins': particle_mat('ins', 0, (0.32, 0.6), 0.5, 5.0, spec=0.45),
	'ins_rub': particle_mat('ins_rub', 0, (0.5, 0.75), 0.8, 9.0, spec=0.3),
	'ins_gy': particle_mat('ins_gy', 0, (0.32, 0.55), 0.5, 5.0, spec=0.45, stripe=(0.02, 0.16, 0.035)),
	'steel': particle_mat('steel', 1, (0.35, 0.6), 0.5, 4.0, tarn=((0.16, 0.06, 0.03), 0.52, 0.7)),
	'grit': particle_mat('grit', 0, (0.6, 0.9), 0.8, 5.0, spec=0.3),
	'wood': particle_mat('wood', 0, (0.45, 0.85), 0.9, 4.0, (0.4, 5, 5), spec=0.35, tarn=((0.06, 0.035, 0.02), 0.5, 0.6)),
	'leaf': particle_mat('leaf', 0, (0.35, 0.7), 0.7, 2.0, (1, 2, 1), spec=0.4, tarn=((0.09, 0.05, 0.02), 0.48, 0.6)),
}
CUT = {'tinned': 'copper_cut'}

mesh_cache = {}


def mesh_for(f, v, mat, core=False):
	key = (f, v, mat, core)
	if key in mesh_cache:
		return mesh_cache[key]
	d = lib[fams[f]][v]
	if core:
		d = d['core']
	me = bpy.data.meshes.new('%s_%d_%s%d' % (fams[f], v, mat, core))
	me.from_pydata(d['V'].tolist(), [], d['F'])
	sm = d['smooth'].copy()
	me.polygons.foreach_set('use_smooth', sm)
	me.materials.append(M[mat])
	if mat in CUT and fams[f] in ('wire', 'hair', 'bundle'):
		me.materials.append(M[CUT[mat]])
		me.polygons.foreach_set('material_index', d['cap'].astype(np.int32))
	me.use_auto_smooth = True
	me.auto_smooth_angle = math.radians(24 if fams[f] in ('granule', 'grit') else 38)
	me.update()
	mesh_cache[key] = me
	return me


col = bpy.data.collections.new('parts')
sc.collection.children.link(col)
idclass = np.zeros(2 * n + 2, np.uint8)
for i in range(n):
	me = mesh_for(int(P.fam[i]), int(P.var[i]), str(P.mat[i]))
	Mx = np.eye(4)
	Mx[:3, :3] = R[i] * P.sc[i]
	Mx[:3, 3] = T[i]
	for core in (False, True) if P.core[i] > 0 else (False,):
		if core:
			me = mesh_for(int(P.fam[i]), int(P.var[i]), 'copper', True)
		o = bpy.data.objects.new('p', me)
		o.matrix_world = mathutils.Matrix(Mx.tolist())
		c = P.col[i] if not core else (0.88, 0.50, 0.34, 1)
		o.color = [float(q) for q in c]
		k = i + 1 + (n if core else 0)
		o.pass_index = k
		idclass[k] = 1 if core else P.cls[i]
		col.objects.link(o)


def plain(name, rgb, rough=0.5, metallic=0, spec=0.5, noise=None, clear=0, aniso=None, bump=0):
	m, t, b = nodes(name)
	b.inputs['Roughness'].default_value = rough
	b.inputs['Metallic'].default_value = metallic
	b.inputs['Specular'].default_value = spec
	b.inputs['Clearcoat'].default_value = clear
	b.inputs['Base Color'].default_value = (*rgb, 1)
	if noise or bump:
		L = t.links.new
		tc = mk(t, 'ShaderNodeTexCoord')
		ma = mk(t, 'ShaderNodeMapping')
		ma.inputs['Scale'].default_value = (noise or {}).get('scale', (1, 1, 1))
		ma.inputs['Location'].default_value = rng.uniform(0, 500, 3).tolist()
		nz = mk(t, 'ShaderNodeTexNoise')
		nz.inputs['Scale'].default_value = 1.0
		nz.inputs['Detail'].default_value = (noise or {}).get('detail', 3)
		L(tc.outputs['Object'], ma.inputs['Vector'])
		L(ma.outputs[0], nz.inputs['Vector'])
		if noise and 'rgb2' in noise:
			mr = mk(t, 'ShaderNodeMapRange')
			mr.inputs['From Min'].default_value = 0.35
			mr.inputs['From Max'].default_value = 0.65
			mx = mk(t, 'ShaderNodeMixRGB')
			mx.inputs['Color1'].default_value = (*rgb, 1)
			mx.inputs['Color2'].default_value = (*noise['rgb2'], 1)
			L(nz.outputs['Fac'], mr.inputs['Value'])
			L(mr.outputs[0], mx.inputs['Fac'])
			L(mx.outputs[0], b.inputs['Base Color'])
		if bump:
			bp = mk(t, 'ShaderNodeBump')
			bp.inputs['Strength'].default_value = bump
			bp.inputs['Distance'].default_value = 0.1
			L(nz.outputs['Fac'], bp.inputs['Height'])
			L(bp.outputs[0], b.inputs['Normal'])
	return m


def quad(name, x, y, z, w, h, mat, uv=True):
	me = bpy.data.meshes.new(name)
	me.from_pydata(
		[(x - w / 2, y - h / 2, z), (x + w / 2, y - h / 2, z), (x + w / 2, y + h / 2, z), (x - w / 2, y + h / 2, z)], [], [(0, 1, 2, 3)]
	)
	u = me.uv_layers.new(name='uv')
	for k, q in enumerate([(0, 0), (1, 0), (1, 1), (0, 1)]):
		u.data[k].uv = q
	me.materials.append(mat)
	o = bpy.data.objects.new(name, me)
	sc.collection.objects.link(o)
	return o


# table
TB = job.get('table', {'rgb': [0.32, 0.30, 0.28], 'rgb2': [0.27, 0.25, 0.23], 'scale': [0.02, 0.02, 0.02], 'rough': 0.5})
tz = -0.35 if surface == 'mat' else -2.2
quad(
	'table',
	0,
	0,
	tz,
	2400,
	2400,
	plain(
		'table',
		TB['rgb'],
		TB.get('rough', 0.5),
		0,
		0.4,
		noise={'scale': TB.get('scale', [0.02] * 3), 'rgb2': TB.get('rgb2', TB['rgb']), 'detail': 3},
	),
)

subject = []
field_w = []
# mat frame: sheet's centre sits at the origin; y up
if surface == 'mat':
	a = mat_art.draw()
	png = os.path.join(TMP, 'mat.png')
	cv2.imwrite(png, a)
	m, t, b = nodes('mat')
	im = mk(t, 'ShaderNodeTexImage')
	im.image = bpy.data.images.load(png)
	im.interpolation = 'Linear'
	t.links.new(im.outputs['Color'], b.inputs['Base Color'])
	b.inputs['Roughness'].default_value = 0.85 - 0.35 * wet
	b.inputs['Specular'].default_value = 0.2
	quad('mat', 0, 0, -0.02, mat_art.W, mat_art.H, m)
	# the sheet's thickness
	quad('matunder', 0, 0, -0.2, mat_art.W, mat_art.H, plain('paper', (0.8, 0.8, 0.78), 0.9))
	for sx, sy in ((-1, 1), (1, 1), (1, -1), (-1, -1)):
		subject.append((sx * mat_art.W / 2, sy * mat_art.H / 2, 0))
		field_w.append((sx * 85, sy * 50, 0))
else:
	tr = job['tray']
	mt = plain(
		'tray',
		tr['rgb'],
		tr.get('rough', 0.4),
		tr.get('metallic', 0),
		tr.get('spec', 0.5),
		clear=tr.get('clear', 0),
		noise=tr.get('noise', {'scale': [0.05, 0.05, 0.05], 'rgb2': [c * 0.93 for c in tr['rgb']]}),
		bump=tr.get('bump', 0),
	)
	iw, ih, hh = 200.0, 140.0, tr.get('height', 14.0)

	def rr(w, h, r, z, k=8):
		pts = []
		for cx, cy, a0 in (
			(w / 2 - r, h / 2 - r, 0),
			(-w / 2 + r, h / 2 - r, 90),
			(-w / 2 + r, -h / 2 + r, 180),
			(w / 2 - r, -h / 2 + r, 270),
		):
			for q in range(k + 1):
				an = math.radians(a0 + 90 * q / k)
				pts.append((cx + r * math.cos(an), cy + r * math.sin(an), z))
		return pts

	prof = [(0, 0, 0)]  # (outset, z)
	loops = [rr(iw, ih, 7, 0)]
	for o_, z_ in (
		(0.35, 0.15),
		(1.2, 1.0),
		(3.2, hh * 0.6),
		(4.6, hh - 0.8),
		(5.0, hh - 0.25),
		(5.6, hh),
		(8.4, hh),
		(9.2, hh - 0.3),
		(9.4, hh - 1.2),
		(8.8, hh - 1.6),
		(6.6, hh - 1.9),
		(3.0, 0),
		(2.0, -2.1),
	):
		loops.append(rr(iw + 2 * o_, ih + 2 * o_, 7 + o_, z_))
	V, F = [], []
	k = len(loops[0])
	for lp in loops:
		V += lp
	for a_ in range(len(loops) - 1):
		for j in range(k):
			F.append((a_ * k + j, a_ * k + (j + 1) % k, (a_ + 1) * k + (j + 1) % k, (a_ + 1) * k + j))
	F.append(tuple(range(k)))
	me = bpy.data.meshes.new('tray')
	me.from_pydata(V, [], F)
	me.materials.append(mt)
	me.polygons.foreach_set('use_smooth', np.ones(len(F), bool))
	me.use_auto_smooth = True
	me.auto_smooth_angle = math.radians(50)
	me.update()
	sc.collection.objects.link(bpy.data.objects.new('tray', me))
	for sx, sy in ((-1, 1), (1, 1), (1, -1), (-1, -1)):
		subject.append((sx * (iw / 2 + 9.4), sy * (ih / 2 + 9.4), hh))
		field_w.append((sx * iw / 2, sy * ih / 2, 0))

if tile:
	subject = [(sx * tile[0] / 2, sy * tile[1] / 2, 0) for sx, sy in ((-1, 1), (1, 1), (1, -1), (-1, -1))]
	field_w = list(subject)

# ---------------------------------------------------------------- camera
cj = job['camera']
cam = bpy.data.cameras.new('cam')
cam.angle = math.radians(cj.get('hfov', 62))
cam.clip_start = 1
cam.clip_end = 5000
co = bpy.data.objects.new('cam', cam)
sc.collection.objects.link(co)
sc.camera = co
tilt, tdir, roll = [math.radians(cj[k]) for k in ('tilt', 'tilt_dir', 'roll')]
axis = mathutils.Vector((math.cos(tdir), math.sin(tdir), 0))
Rm = mathutils.Matrix.Rotation(roll, 3, 'Z') @ mathutils.Matrix.Rotation(tilt, 3, axis)
tgt = mathutils.Vector((cj.get('dx', 0), cj.get('dy', 0), 0))
sc.render.resolution_x, sc.render.resolution_y, sc.render.resolution_percentage = W, H, 100


def set_dist(d):
	co.matrix_world = mathutils.Matrix.Translation(tgt + Rm @ mathutils.Vector((0, 0, d))) @ Rm.to_4x4()
	bpy.context.view_layer.update()
	q = [world_to_camera_view(sc, co, mathutils.Vector(p)) for p in subject]
	mg = cj.get('margin', 0.035)
	return all(mg < p.x < 1 - mg and mg < p.y < 1 - mg and p.z > 0 for p in q)


lo, hi = 80.0, 1500.0
for _ in range(30):
	mid = (lo + hi) / 2
	if set_dist(mid):
		hi = mid
	else:
		lo = mid
set_dist(hi)
to_px = lambda p: [
	round(world_to_camera_view(sc, co, mathutils.Vector(p)).x * W, 3),
	round((1 - world_to_camera_view(sc, co, mathutils.Vector(p)).y) * H, 3),
]
fc = [to_px(p) for p in field_w]
pa = lambda q: 0.5 * abs(sum(q[i][0] * q[(i + 1) % 4][1] - q[(i + 1) % 4][0] * q[i][1] for i in range(4)))
farea = tile[0] * tile[1] if tile else 170 * 100.0 if surface == 'mat' else 200 * 140.0
px_mm = math.sqrt(pa(fc) / farea)
mk_px = None
if surface == 'mat':
	mk_px = {}
	for i, (x, y) in mat_art.marker_boxes().items():
		mk_px[str(i)] = [
			to_px((px - mat_art.W / 2, mat_art.H / 2 - py, -0.02)) for px, py in ((x, y), (x + 16, y), (x + 16, y + 16), (x, y + 16))
		]

# ---------------------------------------------------------------- light. Irradiances are relative; 1.0 in total is nominal
lj = job['light']
wd = bpy.data.worlds.new('w')
sc.world = wd
wd.use_nodes = True
wt = wd.node_tree
bg = wt.nodes['Background']
wj = lj['world']
wc = camera.kelvin_rgb(wj['kelvin']) if 'kelvin' in wj else np.array(wj['rgb'])
tc = mk(wt, 'ShaderNodeTexCoord')
sx = mk(wt, 'ShaderNodeSeparateXYZ')
wt.links.new(tc.outputs['Generated'], sx.inputs[0])
mr = mk(wt, 'ShaderNodeMapRange')
mr.inputs['To Min'].default_value = wj.get('horizon', 0.6)
mr.inputs['To Max'].default_value = wj.get('zenith', 1.2)
wt.links.new(sx.outputs['Z'], mr.inputs['Value'])
nz = mk(wt, 'ShaderNodeTexNoise')
nz.inputs['Scale'].default_value = wj.get('nscale', 1.6)
nz.inputs['Detail'].default_value = 1.5
mp = mk(wt, 'ShaderNodeMapping')
mp.inputs['Location'].default_value = rng.uniform(0, 50, 3).tolist()
wt.links.new(tc.outputs['Generated'], mp.inputs['Vector'])
wt.links.new(mp.outputs[0], nz.inputs['Vector'])
m2 = mk(wt, 'ShaderNodeMapRange')
m2.inputs['From Min'].default_value = 0.3
m2.inputs['From Max'].default_value = 0.7
am = wj.get('noise', 0.5)
m2.inputs['To Min'].default_value = 1 - am
m2.inputs['To Max'].default_value = 1 + am
wt.links.new(nz.outputs['Fac'], m2.inputs['Value'])
mu = mk(wt, 'ShaderNodeMath', operation='MULTIPLY')
wt.links.new(mr.outputs[0], mu.inputs[0])
wt.links.new(m2.outputs[0], mu.inputs[1])
mc = mk(wt, 'ShaderNodeMixRGB', blend_type='MULTIPLY')
mc.inputs['Fac'].default_value = 1
mc.inputs['Color1'].default_value = (*wc, 1)
wt.links.new(mu.outputs[0], mc.inputs['Color2'])
wt.links.new(mc.outputs[0], bg.inputs['Color'])
bg.inputs['Strength'].default_value = wj['E'] / math.pi * math.pi / math.pi
wd.cycles.sampling_method = 'MANUAL'
wd.cycles.sample_map_resolution = 256
for l in lj.get('lamps', []):
	c = camera.kelvin_rgb(l['kelvin']) if 'kelvin' in l else np.array(l['rgb'])
	c = c * np.array(l.get('tint', [1, 1, 1]))
	E = l['E']
	if l['type'] == 'sun':
		d = bpy.data.lights.new('s', 'SUN')
		d.energy = E / math.sin(math.radians(l['el']))
		d.angle = math.radians(l.get('angle', 0.53))
		o = bpy.data.objects.new('s', d)
		az, el = math.radians(l['az']), math.radians(l['el'])
		v = mathutils.Vector((math.cos(az) * math.cos(el), math.sin(az) * math.cos(el), math.sin(el)))
	else:
		v = mathutils.Vector(l['pos'])
		dist = v.length
		cs = v.z / dist
		if l['type'] == 'area':
			d = bpy.data.lights.new('a', 'AREA')
			d.shape = 'RECTANGLE'
			d.size, d.size_y = l['size']
			d.energy = E * math.pi * dist**2 / cs
		else:
			d = bpy.data.lights.new('p', 'POINT')
			d.shadow_soft_size = l['radius']
			d.energy = E * 4 * math.pi * dist**2 / cs * math.pi / math.pi
		o = bpy.data.objects.new('l', d)
		o.location = v
	o.rotation_mode = 'QUATERNION'
	o.rotation_quaternion = v.to_track_quat('Z', 'Y')
	if l.get('spin'):
		o.rotation_quaternion = o.rotation_quaternion @ mathutils.Quaternion((0, 0, 1), math.radians(l['spin']))
	d.color = [float(q) for q in c]
	if max(d.color) > 0:
		pass
	sc.collection.objects.link(o)

# the phone and the hand that holds it (dark shapes above, seen only in reflections)
if job.get('phone', True):
	ph = plain('phone', (0.02, 0.02, 0.022), 0.4)
	me = bpy.data.meshes.new('phone')
	x, y, z = 76, 38, 4
	me.from_pydata(
		[
			(-x + 60, -y, 3),
			(x + 60, -y, 3),
			(x + 60, y, 3),
			(-x + 60, y, 3),
			(-x + 60, -y, 11),
			(x + 60, -y, 11),
			(x + 60, y, 11),
			(-x + 60, y, 11),
		],
		[],
		[(0, 1, 2, 3), (4, 7, 6, 5), (0, 4, 5, 1), (1, 5, 6, 2), (2, 6, 7, 3), (3, 7, 4, 0)],
	)
	me.materials.append(ph)
	o = bpy.data.objects.new('phone', me)
	o.matrix_world = co.matrix_world
	sc.collection.objects.link(o)
	hn = plain('hand', (0.35, 0.19, 0.13), 0.6)
	me = bpy.data.meshes.new('hand')
	me.from_pydata([(100, -60, 12), (150, -60, 12), (150, 300 if tilt >= 0 else 60, 60), (100, 60, 12)], [], [(0, 1, 2, 3)])
	me.materials.append(hn)
	o = bpy.data.objects.new('hand', me)
	o.matrix_world = co.matrix_world
	sc.collection.objects.link(o)

# ---------------------------------------------------------------- render settings
cy = sc.cycles
cy.device = 'CPU'
cy.samples = job.get('samples', 12)
cy.use_adaptive_sampling = bool(job.get('adaptive', 0))
cy.adaptive_threshold = job.get('adaptive', 0) or 0.02
cy.adaptive_min_samples = job.get('min_samples', 12)
cy.use_denoising = False
cy.max_bounces = 4
cy.diffuse_bounces = 1
cy.glossy_bounces = 3
cy.transmission_bounces = 0
cy.transparent_max_bounces = 2
cy.volume_bounces = 0
cy.caustics_reflective = False
cy.caustics_refractive = False
cy.sample_clamp_indirect = 4.0
cy.sample_clamp_direct = 30.0
cy.blur_glossy = 0.6
cy.pixel_filter_type = 'BLACKMAN_HARRIS'
cy.filter_width = 1.5
cy.seed = seed % 100000
cy.use_light_tree = False if hasattr(cy, 'use_light_tree') else None
sc.render.threads_mode = 'FIXED'
sc.render.threads = job.get('threads', 2)
sc.view_settings.view_transform = 'Standard'
sc.view_settings.look = 'None'
sc.render.image_settings.file_format = 'OPEN_EXR'
sc.render.image_settings.color_depth = '32'
sc.render.image_settings.color_mode = 'RGB'
sc.render.image_settings.exr_codec = 'NONE'
sc.render.use_persistent_data = True


def render(tag, w, h):
	sc.render.resolution_x, sc.render.resolution_y = w, h
	sc.render.filepath = os.path.join(TMP, tag)
	bpy.ops.render.render(write_still=True)
	im = bpy.data.images.load(os.path.join(TMP, tag + '.exr'))
	im.colorspace_settings.name = 'Non-Color'
	a = np.empty(w * h * 4, np.float32)
	im.pixels.foreach_get(a)
	bpy.data.images.remove(im)
	os.remove(os.path.join(TMP, tag + '.exr'))
	return a.reshape(h, w, 4)[::-1, :, :3].copy()


vl = bpy.context.view_layer
t1 = time.time()
beauty = render('beauty', W, H)
t_beauty = time.time() - t1
# white reference: everything replaced by a perfect diffuser, tiny picture
wm, wtree, wb_ = nodes('white')
wb_.inputs['Base Color'].default_value = (0.5, 0.5, 0.5, 1)
wb_.inputs['Roughness'].default_value = 1
wb_.inputs['Specular'].default_value = 0
col.hide_render = True
vl.material_override = wm
s0 = (cy.samples, cy.use_adaptive_sampling)
cy.samples = 32
cy.use_adaptive_sampling = False
cy.diffuse_bounces = 0
wr = render('white', 64, 48)
white = np.median(wr[6:42, 8:56].reshape(-1, 3), 0) / 0.5
col.hide_render = False
cy.diffuse_bounces = 2
# id pass: material override that emits the object's index, one sample through the pixel's centre
im_, it, ib = nodes('ids')
it.nodes.remove(ib)
oi = mk(it, 'ShaderNodeObjectInfo')
em = mk(it, 'ShaderNodeEmission')
em.inputs['Strength'].default_value = 1
it.links.new(oi.outputs['Object Index'], em.inputs['Color'])
it.links.new(em.outputs[0], it.nodes['Material Output'].inputs['Surface'])
vl.material_override = im_
bg.inputs['Strength'].default_value = 0
cy.samples = 1
cy.max_bounces = 0
cy.filter_width = 0.01
cy.sample_clamp_direct = 0
cy.sample_clamp_indirect = 0
t2 = time.time()
ids = np.rint(render('ids', W, H)[..., 0]).astype(np.int64)
t_ids = time.time() - t2
mask = idclass[np.clip(ids, 0, len(idclass) - 1)]

# ---------------------------------------------------------------- picture
name = job['name']
# light edge-keeping smoothing of the path tracer's own noise (log domain); the sensor noise is added afterwards
lg = np.log1p(np.maximum(beauty, 0) / white.mean() * 20).astype(np.float32)
sm_ = cv2.bilateralFilter(lg, 7, job.get('mc_sigma', 0.32), 1.5)
bgd = cv2.erode((ids == 0).astype(np.uint8), np.ones((3, 3), np.uint8))  # tray, mat and table are smooth: a second, wider pass there
sm2 = cv2.bilateralFilter(sm_, 9, 0.22, 2.4)
sm_ = np.where(bgd[..., None] > 0, sm2, sm_)
beauty = (np.expm1(0.88 * sm_ + 0.12 * lg) * white.mean() / 20).astype(np.float32)
rgb, gains = camera.shoot(beauty, white, job['shot'], rng)
Image.fromarray(rgb).save(
	os.path.join(out, name + '.jpg'), quality=job.get('jpeg_q', 89), subsampling=2 if job.get('jpeg_q', 89) < 92 else 0
)
Image.fromarray(mask, 'L').save(os.path.join(out, name + '.mask.png'), optimize=False, compress_level=9)

hist = np.bincount(mask.ravel(), minlength=6)
tot = hist[1:].sum()
poly = np.zeros((H, W), np.uint8)
cv2.fillPoly(poly, [np.round(np.array(fc)).astype(np.int32)], 1)
comp = pop.composition(P)
vis = np.unique(ids)
vis = vis[(vis > 0) & (vis <= n)]
J = dict(
	scene=name,
	set=job['set'],
	width=W,
	height=H,
	product=job['product'],
	surface=surface if surface == 'mat' else job['tray']['name'],
	light=lj['name'],
	wet=bool(wet > 0),
	exposure_ev=job['shot'].get('ev', 0.0),
	wb_error=job['shot'].get('wb_error', [1, 1, 1]),
	wb_adapt=job['shot'].get('wb_adapt', 0.9),
	px_per_mm=round(px_mm, 4),
	field_mm=tile or ([170, 100] if surface == 'mat' else [200, 140]),
	field_corners_px=fc,
)
if mk_px and not tile:
	J['marker_corners_px'] = mk_px
if tile:
	wl_ = float(white @ np.array([0.2126, 0.7152, 0.0722]))
	J['white_linear'] = [
		round(float(q), 5) for q in white / wl_ * job['shot'].get('key', 0.80) * 2 ** job['shot'].get('ev', 0.0) * np.array(gains)
	]  # a perfect diffuser in this light, before the tone curve: stands in for the grey patches
J.update(
	particle_count=int(n),
	particle_count_by_class={str(c): int((P.cls == c).sum()) for c in range(1, 6)},
	visible_particle_count_by_class={str(c): int((P.cls[vis - 1] == c).sum()) for c in range(1, 6)},
	locked_particle_count=int((P.core > 0).sum()),
	oxidised_copper_particle_count=int((P.mat == 'copper_ox').sum()),
	oxidised_copper_mass_g=round(float(P.mass[P.mat == 'copper_ox'].sum()), 6),
)
J.update(comp)
J['copper_plus_tinned_mass_fraction'] = round(comp['copper_mass_fraction'] + comp['tinned_mass_fraction'], 6)
J['projected_area_fraction_by_class_of_particles'] = {str(c): round(float(hist[c] / tot), 6) for c in range(1, 6)}
J['particle_pixels'] = int(tot)
J['coverage_of_field'] = round(float((mask[poly > 0] > 0).mean()), 4)
J['camera'] = dict(
	tilt_deg=cj['tilt'],
	tilt_dir_deg=cj['tilt_dir'],
	roll_deg=cj['roll'],
	hfov_deg=cj.get('hfov', 62),
	height_mm=round(co.matrix_world.translation.z, 1),
)
J['degradation'] = {k: job['shot'][k] for k in ('blur', 'defocus', 'motion', 'vignette', 'shot', 'read') if k in job['shot']}
J['insulation_palette'] = sorted({p['name'] for c in job['components'] if c['cls'] == 4 for p in c['palette']})
J['jpeg_quality'] = job.get('jpeg_q', 89)
J['draw_source_composition'] = {k: v for k, v in poptruth.items() if k.endswith('fraction')}
if 'run' in job:
	J['run'] = dict(run=job['run']['name'], product_key=job['run']['product_key'], tray_index=job['run']['tray_index'])
J['seed'] = seed
J['render'] = dict(samples=job.get('samples', 12), seconds_total=round(time.time() - t0, 1), seconds_beauty=round(t_beauty, 1))
json.dump(J, open(os.path.join(out, name + '.json'), 'w'), indent=1)
print(
	'DONE',
	name,
	'n',
	n,
	'lost',
	int((~ok).sum()),
	'cov %.3f' % J['coverage_of_field'],
	'cu %.4f al %.4f ins %.4f' % (comp['copper_mass_fraction'], comp['aluminium_mass_fraction'], comp['insulation_mass_fraction']),
	'place %.1f beauty %.1f ids %.1f total %.1f' % (t_place, t_beauty, t_ids, time.time() - t0),
	'white',
	white.round(3),
	'px/mm %.2f' % px_mm,
	flush=True,
)

"""Writes close-up scenes that vary more than make_train.py does: make_more.py OUTDIR FIRST COUNT [PARTS]
Aimed at what a classifier trained on the first set got wrong: trays of colours never met, insulation of copper's own
brown and orange, tinned strands, scales from 4 to 14 pixels per millimetre, lamps and white balance further off,
tarnish from none to black-brown. Scene number FIRST + i is the seed (keep FIRST >= 1000, so that no seed meets the
first set's). With PARTS > 1 the jobs go to OUTDIR/0, OUTDIR/1 ..., one folder for each process that renders."""

import sys, os, json, colorsys
import numpy as np

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from scene_parts import *
from make_dev import TRAY
from make_train import light as plain_light

U = lambda r, a, b: float(r.uniform(a, b))


def light(r):
	"""The lamps of the first set, or (40 %) lamps further out: warmer, greener, bluer."""
	L = plain_light(r)
	if r.random() < 0.4:
		k = U(r, 2200, 3600) if r.random() < 0.6 else U(r, 7000, 12000)
		tint = [1.0, U(r, 0.9, 1.15), 1.0]
		for l in L['lamps']:
			if r.random() < 0.8:
				l['kelvin'] = k * U(r, 0.95, 1.05)
				l['tint'] = tint
		L['world']['kelvin'] = k * U(r, 0.9, 1.4)
		L['name'] += ' shifted to %d K' % k
	return L


def hsv(r, h, s, v):
	return [float(x) ** 2.2 for x in colorsys.hsv_to_rgb(h % 1, s, v)]


def tray(r):
	if r.random() < 0.25:
		t = json.loads(json.dumps(TRAY[str(r.choice(list(TRAY)))]))
		g = np.exp(r.normal(0, 0.2))
		t['rgb'] = [float(min(0.85, x * g)) for x in t['rgb']]
		if 'noise' in t:
			t['noise']['rgb2'] = [float(min(0.85, x * g)) for x in t['noise']['rgb2']]
		return t
	kind = str(
		r.choice(
			['green', 'red', 'yellow', 'orange', 'black', 'cyan', 'grey', 'wood', 'beige', 'metal', 'any'],
			p=[0.13, 0.12, 0.1, 0.06, 0.13, 0.08, 0.1, 0.09, 0.06, 0.05, 0.08],
		)
	)
	h = {
		'green': U(r, 0.27, 0.45),
		'red': U(r, -0.03, 0.03),
		'yellow': U(r, 0.11, 0.17),
		'orange': U(r, 0.04, 0.1),
		'cyan': U(r, 0.47, 0.6),
	}.get(kind, U(r, 0, 1))
	if kind == 'black':
		c = [U(r, 0.006, 0.04)] * 3
	elif kind == 'grey':
		c = [U(r, 0.06, 0.6) * x for x in (U(r, 0.95, 1.05), 1.0, U(r, 0.95, 1.05))]
	elif kind == 'beige':
		c = hsv(r, U(r, 0.07, 0.13), U(r, 0.15, 0.4), U(r, 0.6, 0.9))
	elif kind == 'wood':
		c = hsv(r, U(r, 0.05, 0.1), U(r, 0.35, 0.7), U(r, 0.35, 0.85))
		k = U(r, 0.45, 0.8)
		return dict(
			name='wood-like',
			rgb=c,
			rough=U(r, 0.3, 0.7),
			spec=0.4,
			height=15,
			noise=dict(scale=[U(r, 0.01, 0.05), U(r, 0.2, 1.5), 0.05], rgb2=[x * k for x in c]),
			bump=U(r, 0, 0.1),
		)
	elif kind == 'metal':
		c = [U(r, 0.4, 0.8)] * 3
		c[2] *= U(r, 0.92, 1.0)
		return dict(
			name='bare metal',
			rgb=c,
			rough=U(r, 0.2, 0.5),
			metallic=1,
			height=15,
			noise=dict(scale=[U(r, 0.02, 1), U(r, 0.5, 2.5), 0.02], rgb2=[x * 0.85 for x in c]),
			bump=U(r, 0, 0.08),
		)
	else:
		c = hsv(r, h, U(r, 0.45, 0.95), U(r, 0.25, 0.9))
	k = U(r, 0.85, 1.1)
	return dict(
		name=kind + ' plastic',
		rgb=[float(np.clip(x, 0.004, 0.85)) for x in c],
		rough=U(r, 0.1, 0.6),
		spec=U(r, 0.35, 0.55),
		height=15,
		noise=dict(scale=[U(r, 0.05, 1.0)] * 3, rgb2=[float(np.clip(x * k, 0.004, 0.85)) for x in c]),
		bump=U(r, 0, 0.1),
	)


EXTRA = {
	'copperbrown': dict(rgb=[0.30, 0.13, 0.065], poly={'pvc': 1}, var=0.3, hue=0.08),
	'copperorange': dict(rgb=[0.52, 0.22, 0.09], poly={'pvc': 1}, var=0.25, hue=0.08),
	'salmon': dict(rgb=[0.60, 0.33, 0.22], poly={'pvc': 1}, var=0.2, hue=0.06),
	'tan': dict(rgb=[0.45, 0.33, 0.20], poly={'pe': 1}, var=0.2, hue=0.05),
	'pink': dict(rgb=[0.65, 0.22, 0.28], poly={'pvc': 1}, var=0.2, hue=0.05),
	'violet': dict(rgb=[0.13, 0.04, 0.24], poly={'pvc': 1}, var=0.25, hue=0.05),
	'turquoise': dict(rgb=[0.03, 0.30, 0.30], poly={'pvc': 1}, var=0.25, hue=0.05),
	'silvergrey': dict(rgb=[0.45, 0.45, 0.44], poly={'pvc': 1, 'pe': 1}, var=0.25, hue=0.02),
	'lightblue': dict(rgb=[0.18, 0.36, 0.60], poly={'pe': 1}, var=0.2, hue=0.05),
	'orange': dict(rgb=[0.75, 0.20, 0.02], poly={'pvc': 1}, var=0.15, hue=0.06),
}


def pal(r, red=False):
	names = list(COL) + list(EXTRA)
	k = int(r.integers(3, 10))
	w = {str(n): float(np.exp(r.normal(0, 0.7))) for n in r.choice(names, k, replace=False)}
	if red or r.random() < 0.45:
		w.update({n: U(r, 0.8, 3) for n in ('red', 'brown', 'orangebrown', 'copperbrown', 'copperorange', 'salmon') if r.random() < 0.6})
	out = palette(EXTRA, **w)
	for p in out:
		p['rgb'] = [float(np.clip(c * np.exp(r.normal(0, 0.18)), 0.006, 0.88)) for c in p['rgb']]
	return out


KINDS = [
	'clean concentrate',
	'ordinary concentrate',
	'contaminated concentrate with aluminium',
	'middlings',
	'tailings',
	'blank',
	'even mixture',
	'tinned concentrate',
	'grit',
]


def comps(r):
	kind = str(r.choice(KINDS, p=[0.11, 0.13, 0.13, 0.15, 0.10, 0.09, 0.13, 0.12, 0.04]))
	ox = U(r, 0, 0.4) if r.random() < 0.7 else U(r, 0.4, 0.95)
	tr = U(r, 0, 0.6)
	D = [COARSE, MEDIUM, FINE][int(r.integers(0, 3))]
	P = pal(r, kind == 'blank' and r.random() < 0.6)
	sz = U(r, 1.4, 3.2)
	lk = float(r.choice([0, U(r, 0.02, 0.18)]))
	L = U(r, 2.0, 4.5)
	cu_rgb = [0.94, U(r, 0.50, 0.66), U(r, 0.32, 0.52)]
	ox_rgb = [U(r, 0.12, 0.42)]
	ox_rgb += [ox_rgb[0] * U(r, 0.4, 0.6), ox_rgb[0] * U(r, 0.2, 0.38)]
	if r.random() < 0.1:
		ox_rgb = [0.12, 0.16, 0.11]  # green-grey patina
	sn_rgb = [U(r, 0.42, 0.72)] * 3
	sn_rgb = [sn_rgb[0], sn_rgb[1] * U(r, 0.97, 1.0), sn_rgb[2] * U(r, 0.9, 1.0)]
	al_rgb = [U(r, 0.62, 0.9)] * 3
	kc = dict(ox=ox, tarnish=tr, rgb=cu_rgb, ox_rgb=ox_rgb)
	I = lambda m: ins(m, P, size=sz, locked=lk, dirt=U(r, 0, 0.5))
	cu = lambda m: [wire(1, m * 0.76, D, L=L, **kc), hair(1, m * U(r, 0.01, 0.14), **kc), bundle(1, m * 0.13, **kc)]
	DS = [FINE, MEDIUM, [[0.4, 1], [0.67, 1], [1.0, 0.6]]][int(r.choice(3, p=[0.5, 0.35, 0.15]))]
	sn = lambda m: [wire(2, m * 0.72, DS, L=L, rgb=sn_rgb), hair(2, m * U(r, 0.05, 0.2), rgb=sn_rgb), bundle(2, m * 0.15, rgb=sn_rgb)]
	al = lambda m: [
		dict(flakes(m * 0.6, size=U(r, 1.5, 3.2)), rgb=al_rgb),
		wire(3, m * 0.4, [[0.3, 0.6], [0.5, 1], [0.9, 1], [1.6, 0.4]], L=3, rgb=al_rgb),
	]
	G = lambda m: [dict(grit(m), rgb=[U(r, 0.12, 0.5)] + [U(r, 0.1, 0.4), U(r, 0.06, 0.3)])]
	t = sn(U(r, 0.01, 0.15)) if r.random() < 0.65 else []
	if kind == 'blank':
		c = [dict(I(1.0), locked=0.0)]
	elif kind == 'clean concentrate':
		m = U(r, 0.95, 0.995)
		c = cu(m) + [I(1 - m)] + (sn(0.02) if t else [])
	elif kind == 'ordinary concentrate':
		m = U(r, 0.8, 0.95)
		c = cu(m) + t + [I(1 - m)] + [steel(0.006)]
	elif kind.startswith('contaminated'):
		a = U(r, 0.03, 0.2)
		m = U(r, 0.5, 0.75)
		c = cu(m) + t + al(a) + [I(1 - m - a), steel(0.008)]
	elif kind == 'middlings':
		m = U(r, 0.05, 0.4)
		a = U(r, 0.01, 0.07)
		c = cu(m) + t + al(a) + [I(1 - m - a)] + G(0.01)
	elif kind == 'tailings':
		m = U(r, 0.002, 0.03)
		c = cu(m) + (sn(U(r, 0.002, 0.02)) if t else []) + al(U(r, 0.002, 0.015)) + [I(1 - m)] + G(0.015)
	elif kind == 'tinned concentrate':
		m = U(r, 0.3, 0.85)
		c = sn(m) + cu((1 - m) * U(r, 0.2, 0.8)) + [I((1 - m) * 0.4)]
	elif kind == 'grit':
		c = G(U(r, 0.3, 0.7)) + [steel(0.05), I(U(r, 0.2, 0.6))] + (cu(0.05) if r.random() < 0.4 else [])
	else:
		c = cu(0.28) + sn(0.26) + al(0.12) + [I(0.30), steel(0.03)] + G(0.01)
	return kind, c


def scene(i, number):
	r = np.random.default_rng(910000 + number)
	kind, c = comps(r)
	w, h = 756, 560
	scale = float(np.exp(r.uniform(np.log(4.3), np.log(13.5)))) if r.random() < 0.6 else U(r, 6.5, 9.5)
	tw = w / scale
	surf = 'mat' if r.random() < 0.42 else 'tray'
	sh = shot(r, scale=1.0)
	if r.random() < 0.35:
		e = np.exp(r.normal(0, 0.10, 3))
		sh['wb_error'] = [round(float(x / e[1]), 4) for x in e]
		sh['wb_adapt'] = round(U(r, 0.5, 1.0), 3)
	if r.random() < 0.3:
		sh.update(
			ev=round(U(r, -1.2, 0.8), 2),
			contrast=round(U(r, 0, 0.5), 2),
			sat=round(U(r, 0.95, 1.25), 3),
			sharp=round(U(r, 0, 0.8), 2),
			shot=round(float(10 ** r.uniform(-4, -3)), 6),
		)
	if r.random() < 0.12:
		sh['defocus'] = U(r, 0.6, 1.4)
	if r.random() < 0.06:
		sh['motion'] = [U(r, 2, 4), U(r, 0, 3.1)]
	s = dict(
		name='more-%04d' % number,
		set='more',
		seed=910000 + number,
		product=kind,
		surface=surf,
		coverage=U(r, 0.1, 0.6),
		components=c,
		wet=float(r.choice([0, 0, U(r, 0.3, 1)])),
		size=[w, h],
		tile=[round(tw, 1), round(tw * h / w, 1)],
		light=light(r),
		camera=dict(cam(r, tmax=14), margin=-0.03),
		shot=sh,
		table=TABLES[0],
		jpeg_q=int(r.integers(78, 95)),
		samples=9,
		threads=1,
		tarnish_cover=U(r, 0.1, 0.9),
		rough_k=U(r, 0.65, 1.35),
		prio=i,
	)
	if surf == 'tray':
		s['tray'] = tray(r)
	return s


def write_jobs(scene):
	"""the script's arguments, OUTDIR FIRST COUNT [PARTS], carried out with a maker of scenes"""
	d, first, n = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
	parts = int(sys.argv[4]) if len(sys.argv) > 4 else 1
	for i in range(n):
		o = os.path.join(d, str(i % parts)) if parts > 1 else d
		os.makedirs(o, exist_ok=True)
		s = scene(i, first + i)
		json.dump(s, open(os.path.join(o, s['name'] + '.job.json'), 'w'), indent=1)
	print(n, 'scenes')


if __name__ == '__main__':
	write_jobs(scene)

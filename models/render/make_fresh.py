"""Writes whole trays that neither the weights nor the error rates have seen: make_fresh.py OUTDIR [PARTS [SET]]
SET 1 and on gives others: seeds 100 higher each, lamps and surfaces moved on by seven products.
Products, lights and surfaces are laid out by hand so that each occurs; colours, sizes, tarnish, camera and lamps' places are
drawn. Seeds start at 9001 (training used others), insulation colours are drawn freely, not from the training palettes alone."""

import sys, os, json
import numpy as np

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from scene_parts import *
from make_dev import LIGHT, TRAY
from make_more import hsv, EXTRA, U

LIGHTS = {
	'warm bulb 2700 K': dict(
		world=dict(kelvin=2650, E=0.22, horizon=0.7, zenith=1.0, noise=0.5),
		lamps=[dict(type='point', radius=25, pos=[500, 500, 900], kelvin=2700, E=0.5)],
	),
	'greenish tubes 4100 K': dict(
		world=dict(kelvin=4100, E=0.3, horizon=0.8, zenith=1.0, noise=0.4),
		lamps=[dict(type='area', size=[1200, 150], pos=[-300, 400, 1500], kelvin=4100, tint=[1, 1.09, 1], E=0.6)],
	),
	'low evening sun': dict(
		world=dict(kelvin=8500, E=0.25, horizon=1.0, zenith=0.9, noise=0.3), lamps=[dict(type='sun', az=230, el=30, kelvin=4300, E=0.7)]
	),
	'head torch in a dark shed': dict(
		world=dict(kelvin=5000, E=0.06, horizon=0.8, zenith=1.0, noise=0.5),
		lamps=[dict(type='point', radius=12, pos=[60, -250, 520], kelvin=6200, E=0.75)],
	),
}
TRAYS = {
	'light wood': dict(
		name='light wood',
		rgb=[0.52, 0.36, 0.20],
		rough=0.5,
		spec=0.4,
		height=15,
		noise=dict(scale=[0.02, 0.6, 0.05], rgb2=[0.42, 0.28, 0.15]),
		bump=0.05,
	),
	'green plastic': dict(
		name='green plastic',
		rgb=[0.05, 0.22, 0.10],
		rough=0.4,
		spec=0.45,
		height=16,
		noise=dict(scale=[0.4, 0.4, 0.4], rgb2=[0.055, 0.24, 0.11]),
		bump=0.05,
	),
}


def light(name):
	if name in LIGHT:
		return LIGHT[name]
	return dict(name=name, **LIGHTS[name])


def pal(r, brown=False):
	"""Half the usual colours, half drawn freely; brown adds copper's own browns and oranges."""
	names = list(COL) + list(EXTRA)
	w = {str(n): float(np.exp(r.normal(0, 0.6))) for n in r.choice(names, 5, replace=False)}
	if brown:
		w.update(copperbrown=2.0, copperorange=1.5, brown=1.2, red=1.5)
	out = palette(EXTRA, **w)
	for k in range(3):
		out.append(
			dict(
				name='free%d' % k,
				w=float(np.exp(r.normal(0, 0.5))),
				rgb=[float(np.clip(x, 0.008, 0.85)) for x in hsv(r, U(r, 0, 1), U(r, 0.1, 0.9), U(r, 0.15, 0.85))],
				poly={'pvc': 1, 'pe': 1},
				var=0.2,
				hue=0.04,
			)
		)
	return out


def product(kind, r):
	brown = 'brown' in kind
	P = pal(r, brown)
	kc = dict(ox=U(r, 0, 0.35), tarnish=U(r, 0, 0.5), rgb=[0.94, U(r, 0.5, 0.64), U(r, 0.34, 0.5)])
	D = [COARSE, MEDIUM, FINE][int(r.integers(0, 3))]
	L = U(r, 2.2, 4.2)
	sz = U(r, 1.6, 3.0)
	cu = lambda m, h=0.03: [wire(1, m * (0.87 - h), D, L=L, **kc), hair(1, m * h, **kc), bundle(1, m * 0.13, **kc)]
	sn = lambda m: [wire(2, m * 0.8, FINE, L=L), hair(2, m * 0.08), bundle(2, m * 0.12)]
	al = lambda m: [flakes(m * 0.6), wire(3, m * 0.4, [[0.4, 1], [0.7, 1], [1.2, 0.5]], L=3)]
	I = lambda m, lk=0.04: ins(m, P, size=sz, locked=lk, dirt=U(r, 0, 0.4))
	if kind == 'clean concentrate':
		return cu(0.975, 0.05) + sn(0.008) + [I(0.017, 0.02)]
	if kind == 'hair-wire concentrate':
		return [hair(1, 0.52, lo=0.08, hi=0.25, **kc), wire(1, 0.32, FINE, L=L, **kc), bundle(1, 0.12, **kc), I(0.04, 0)]
	if kind == 'ordinary concentrate':
		return cu(0.88) + sn(0.03) + [I(0.085, 0.06), steel(0.005)]
	if kind == 'tinned concentrate':
		return cu(0.58) + sn(0.30) + [I(0.12)]
	if kind == 'contaminated concentrate with aluminium':
		return cu(0.68) + sn(0.02) + al(0.13) + [I(0.16, 0.06), steel(0.01)]
	if kind == 'middlings':
		return cu(0.24) + sn(0.02) + al(0.04) + [I(0.68, 0.06), grit(0.02)]
	if kind == 'tailings':
		return cu(0.006, 0.3) + al(0.006) + [I(0.976, 0.003), grit(0.012)]
	return [I(1.0, 0)]


LIST = [  # product, light, tray (None: mat), coverage, wet
	('ordinary concentrate', 'warm bulb 2700 K', None, 0.36, 0),
	('middlings', 'sun', None, 0.42, 0),
	('blank with copper-brown', 'greenish tubes 4100 K', None, 0.42, 0),
	('contaminated concentrate with aluminium', 'overcast', None, 0.38, 0),
	('ordinary concentrate', 'cool6500', 'mid-grey plastic', 0.33, 0),
	('hair-wire concentrate', 'overcast', None, 0.26, 0),
	('tailings', 'mixed', None, 0.5, 0),
	('clean concentrate', 'greenish tubes 4100 K', None, 0.4, 0),
	('middlings', 'head torch in a dark shed', None, 0.4, 0.6),
	('contaminated concentrate with aluminium', 'mixed', 'light wood', 0.32, 0),
	('blank', 'low evening sun', None, 0.35, 0),
	('tinned concentrate', 'led3000', None, 0.36, 0),
	('middlings', 'overcast', 'dark blue plastic', 0.38, 0),
	('clean concentrate', 'low evening sun', None, 0.32, 0),
	('tailings', 'cool6500', None, 0.5, 0.8),
	('ordinary concentrate', 'sun', None, 0.4, 0.7),
	('blank with copper-brown', 'led3000', 'white enamel', 0.32, 0),
	('hair-wire concentrate', 'warm bulb 2700 K', None, 0.22, 0),
	('contaminated concentrate with aluminium', 'cool6500', None, 0.44, 0),
	('tailings', 'greenish tubes 4100 K', 'green plastic', 0.4, 0),
]


def scene(i, other=0):
	kind = LIST[i][0]
	_, lamp, tray, cover, wet = LIST[(i + 7 * other) % len(LIST)]
	seed = 9001 + 100 * other + i
	r = np.random.default_rng(seed)
	s = dict(
		name='fresh-%02d' % (i + 1),
		set='fresh',
		seed=seed,
		product=kind,
		surface='tray' if tray else 'mat',
		coverage=cover,
		components=product(kind, r),
		wet=wet,
		size=[2016, 1512],
		light=light(lamp),
		camera=cam(r),
		shot=shot(r),
		table=TABLES[int(r.integers(0, 4))],
		jpeg_q=int(r.integers(84, 94)),
		samples=8,
		threads=1,
		tarnish_cover=U(r, 0.1, 0.8),
		prio=i,
	)
	if tray:
		s['tray'] = TRAYS[tray] if tray in TRAYS else TRAY[tray]
	return s


if __name__ == '__main__':
	d, parts, other = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 1, int(sys.argv[3]) if len(sys.argv) > 3 else 0
	for i in range(len(LIST)):
		o = os.path.join(d, str(i % parts)) if parts > 1 else d
		os.makedirs(o, exist_ok=True)
		s = scene(i, other)
		json.dump(s, open(os.path.join(o, s['name'] + '.job.json'), 'w'), indent=1)
	print(len(LIST), 'scenes')

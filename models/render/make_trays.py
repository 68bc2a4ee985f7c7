"""Writes whole trays and mats for training, everything drawn: make_trays.py OUTDIR FIRST COUNT [PARTS]
Colours, products, trays and lamps as make_more.py draws them for close-ups, now seen whole (corner marks, grey patches, fall-off, lens and
compression of a whole picture), with lamps further out (a torch in the dark, low sun, greenish tubes) and concentrates of hair wire.
Scene number FIRST + i is the seed (700000 + number), so none meets make_dev.py's, make_fresh.py's or the close-ups'."""

import sys, os
import numpy as np

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from scene_parts import *
from make_more import U, comps, light as drawn_light, tray, pal, write_jobs


def light(r):
	k = r.random()
	if k < 0.70:
		return drawn_light(r)
	if k < 0.80:
		K = U(r, 2600, 7000)
		return dict(
			name='torch',
			world=dict(kelvin=U(r, 3000, 6500), E=U(r, 0.04, 0.12), horizon=0.8, zenith=1.0, noise=0.5),
			lamps=[
				dict(type='point', radius=U(r, 8, 25), pos=[U(r, -250, 250), U(r, -350, 350), U(r, 400, 800)], kelvin=K, E=U(r, 0.5, 0.9))
			],
		)
	if k < 0.90:
		return dict(
			name='low sun',
			world=dict(kelvin=U(r, 7000, 10500), E=U(r, 0.15, 0.3), horizon=1.0, zenith=0.9, noise=0.3),
			lamps=[dict(type='sun', az=U(r, 0, 360), el=U(r, 20, 40), kelvin=U(r, 3600, 5000), E=U(r, 0.5, 0.8))],
		)
	K = U(r, 3000, 5500)
	return dict(
		name='tubes',
		world=dict(kelvin=K, E=U(r, 0.2, 0.4), horizon=0.8, zenith=1.0, noise=0.4),
		lamps=[
			dict(
				type='area',
				size=[1200, U(r, 80, 300)],
				pos=[U(r, -600, 600), U(r, -600, 600), U(r, 1000, 1900)],
				kelvin=K,
				tint=[1, U(r, 1.0, 1.14), 1],
				E=U(r, 0.4, 0.8),
			)
		],
	)


def scene(i, number):
	r = np.random.default_rng(700000 + number)
	kind, c = comps(r)
	if r.random() < 0.10:
		kc = dict(ox=U(r, 0, 0.5), tarnish=U(r, 0, 0.5), rgb=[0.94, U(r, 0.5, 0.64), U(r, 0.34, 0.5)])
		I = ins(0.05, pal(r), size=U(r, 1.6, 3.0))
		kind = 'hair-wire concentrate'
		c = [hair(1, U(r, 0.3, 0.6), lo=0.08, hi=0.25, **kc), wire(1, 0.25, FINE, L=U(r, 2.2, 4.2), **kc), bundle(1, 0.12, **kc), I] + (
			[hair(2, 0.06)] if r.random() < 0.4 else []
		)
	surf = 'mat' if r.random() < 0.72 else 'tray'
	s = dict(
		name='whole-%04d' % number,
		set='whole',
		seed=700000 + number,
		product=kind,
		surface=surf,
		coverage=U(r, 0.18, 0.55),
		components=c,
		wet=float(r.choice([0, 0, U(r, 0.3, 1)])),
		size=[2016, 1512],
		light=light(r),
		camera=cam(r),
		shot=shot(r),
		table=TABLES[int(r.integers(0, 4))],
		jpeg_q=int(r.integers(80, 95)),
		samples=8,
		threads=1,
		tarnish_cover=U(r, 0.1, 0.9),
		rough_k=U(r, 0.7, 1.3),
		prio=i,
	)
	if surf == 'tray':
		s['tray'] = tray(r)
	return s


if __name__ == '__main__':
	write_jobs(scene)

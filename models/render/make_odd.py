"""Writes close-ups of what is no spread of chopped cable: make_odd.py OUTDIR FIRST COUNT [PARTS]
So that a classifier meets before its users do: whole insulated cables in every colour with no metal in sight; wet brown debris (sticks, bark, leaves,
stones, plastic) with no metal; pieces of metal wider than the network sees (discs, sheet, pipe) under white balance far off.
Sticks, bark and leaves count as insulation: what matters is that they are no metal. Scene number FIRST + i is the seed (300000 + number).
"""

import sys, os
import numpy as np

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from scene_parts import *
from make_more import U, hsv, light, pal, tray, write_jobs


def browns(r, mat):
	"""a few colours of wood, bark, soil and dead leaves, straw to black-brown"""
	out = []
	for k in range(int(r.integers(3, 7))):
		out.append(
			dict(
				name='%s %d' % (mat, k),
				rgb=hsv(r, U(r, 0.02, 0.13), U(r, 0.25, 0.8), float(r.choice([U(r, 0.12, 0.35), U(r, 0.3, 0.75)]))),
				poly={'pe': 1},
				w=U(r, 0.3, 1.5),
				var=0.3,
				hue=0.08,
				mat=mat,
			)
		)
	if mat == 'leaf' and r.random() < 0.4:
		out.append(
			dict(
				name='green leaf',
				rgb=hsv(r, U(r, 0.18, 0.33), U(r, 0.4, 0.8), U(r, 0.2, 0.6)),
				poly={'pe': 1},
				w=U(r, 0.2, 1),
				var=0.3,
				hue=0.1,
				mat=mat,
			)
		)
	return out


def earth(r):
	c = hsv(r, U(r, 0.03, 0.13), U(r, 0.2, 0.7), U(r, 0.2, 0.7))
	k = U(r, 0.3, 0.7)
	return dict(
		name='earth',
		rgb=c,
		rough=U(r, 0.5, 0.95),
		spec=0.3,
		height=15,
		noise=dict(scale=[U(r, 0.2, 2.5)] * 3, rgb2=[x * k for x in c], detail=6),
		bump=U(r, 0.1, 0.8),
	)


def cables(r, tall):
	P = pal(r)
	hi = 0.9 * tall
	d = U(r, 0.8, 2.5)
	thin = dict(
		cls=4,
		kind='hair',
		mass=U(r, 0.2, 1),
		drange=[d, d * U(r, 1.2, 2.2)],
		L=[U(r, 0.4, 0.8) * tall, 0.4],
		lo=8,
		hi=hi,
		palette=P,
		dirt=U(r, 0, 0.3),
	)
	thick = dict(
		cls=4,
		kind='wire',
		mass=U(r, 0.2, 1.5),
		d=[[U(r, 1.5, 7), 1], [U(r, 1.5, 7), 1], [U(r, 1.5, 4), 1]],
		L=[U(r, 0.3, 0.8) * tall, 0.5],
		lo=6,
		hi=hi,
		palette=P,
		dirt=U(r, 0, 0.3),
	)
	return 'cables', [c for c in (thin, thick) if r.random() < 0.75] or [thick]


def debris(r, tall):
	hi = 0.8 * tall
	D = U(r, 0, 0.8)
	I = lambda m, s: dict(ins(m, pal(r), size=s, dirt=D), hi=hi)
	sticks = [
		dict(
			cls=4,
			kind='hair',
			mass=U(r, 0.05, 0.4),
			drange=[0.4, U(r, 0.8, 2)],
			L=[U(r, 8, 0.6 * tall), 0.5],
			lo=5,
			hi=hi,
			palette=browns(r, 'wood'),
			dirt=D,
		),
		dict(
			cls=4,
			kind='wire',
			mass=U(r, 0.1, 0.6),
			d=[[U(r, 0.8, 6), 1], [U(r, 0.8, 3), 2]],
			L=[U(r, 5, 30), 0.6],
			lo=2,
			hi=hi,
			palette=browns(r, 'wood'),
			dirt=D,
		),
	]
	bark = [
		dict(
			cls=4,
			kind='mix',
			mass=U(r, 0.1, 0.6),
			mix={'chip': 0.6, 'granule': 0.25, 'half': 0.15},
			size=[U(r, 2, 12), 0.5],
			lo=1,
			hi=hi,
			palette=browns(r, 'wood'),
			dirt=D,
		)
	]
	leaves = [dict(cls=4, kind='flake', mass=U(r, 0.01, 0.1), size=[U(r, 4, 20), 0.5], lo=2, hi=hi, palette=browns(r, 'leaf'), dirt=D)]
	stones = [dict(grit(U(r, 0.05, 0.6)), rgb=[U(r, 0.06, 0.5)] + [U(r, 0.06, 0.4), U(r, 0.05, 0.3)], size=[U(r, 1.5, 8), 0.5], hi=hi)]
	c = [x for part in (sticks, bark, leaves, stones) if r.random() < 0.65 for x in part]
	return 'debris', (c or bark) + ([I(U(r, 0.05, 0.5), U(r, 2, 10))] if r.random() < 0.8 else [])


def metal(r, tall):
	hi = 0.8 * tall
	s = lambda: [U(r, 4, 0.4 * tall), 0.4]
	rgb = {1: [0.94, U(r, 0.50, 0.70), U(r, 0.30, 0.52)], 2: [U(r, 0.42, 0.75)] * 3, 3: [U(r, 0.6, 0.9)] * 3}

	def wide(cls, m):
		kc = dict(ox=U(r, 0, 0.5), tarnish=U(r, 0, 0.6)) if cls == 1 else {}
		return [
			x
			for x in (
				dict(cls=cls, kind='flake', mass=m, size=s(), lo=3, hi=hi, rgb=rgb[cls], **kc),
				dict(
					cls=cls, kind='mix', mass=m, mix={'tube': 0.5, 'half': 0.3, 'granule': 0.2}, size=s(), lo=3, hi=hi, rgb=rgb[cls], **kc
				),
				dict(
					cls=cls,
					kind='wire',
					mass=m,
					d=[[U(r, 2, 10), 1], [U(r, 1, 5), 1]],
					L=[U(r, 8, 40), 0.5],
					lo=4,
					hi=hi,
					rgb=rgb[cls],
					**kc,
				),
			)
			if r.random() < 0.6
		]

	c = (
		[x for cls in (1, 1, 2, 3) if r.random() < 0.5 for x in wide(cls, U(r, 0.2, 1))]
		or wide(1, 1)
		or [dict(cls=1, kind='flake', mass=1, size=s(), lo=3, hi=hi, rgb=rgb[1])]
	)
	return 'wide metal', c + ([dict(ins(U(r, 0.05, 0.4), pal(r), size=U(r, 2, 8)), hi=hi)] if r.random() < 0.7 else [])


def scene(i, number):
	r = np.random.default_rng(300000 + number)
	w, h = 756, 560
	scale = float(np.exp(r.uniform(np.log(4.3), np.log(13.5))))
	tw = w / scale
	th = tw * h / w
	make = (cables, debris, debris, metal)[int(r.integers(0, 4))]
	kind, c = make(r, th)
	surf = 'mat' if make is not debris and r.random() < 0.3 else 'tray'
	sh = shot(r)
	if r.random() < 0.4:
		e = np.exp(r.normal(0, 0.2, 3))
		sh['wb_error'] = [round(float(x / e[1]), 4) for x in e]
		sh['wb_adapt'] = round(U(r, 0.1, 1.0), 3)
	if r.random() < 0.4:
		sh.update(
			ev=round(U(r, -1.2, 0.8), 2), contrast=round(U(r, 0, 0.5), 2), sat=round(U(r, 0.9, 1.35), 3), sharp=round(U(r, 0, 0.9), 2)
		)
	if r.random() < 0.2:
		sh['defocus'] = U(r, 0.6, 2)
	s = dict(
		name='odd-%04d' % number,
		set='odd',
		seed=300000 + number,
		product=kind,
		surface=surf,
		coverage=U(r, 0.15, 0.6) if r.random() < 0.5 else U(r, 0.6, 0.93),
		least=4,
		reach=U(r, 1.1, 1.7),
		components=c,
		wet=float(r.choice([0, U(r, 0.3, 1), U(r, 0.3, 1)])),
		size=[w, h],
		tile=[round(tw, 1), round(th, 1)],
		light=light(r),
		camera=dict(cam(r, tmax=14), margin=-0.03),
		shot=sh,
		table=TABLES[0],
		jpeg_q=int(r.integers(75, 95)),
		samples=9,
		threads=1,
		tarnish_cover=U(r, 0.1, 0.9),
		rough_k=U(r, 0.65, 1.35),
		prio=i,
	)
	if surf == 'tray':
		s['tray'] = earth(r) if make is debris and r.random() < 0.5 else tray(r)
	return s


if __name__ == '__main__':
	write_jobs(scene)

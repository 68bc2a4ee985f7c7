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
    'warm bulb 2700 K': dict(world=dict(kelvin=2650, E=.22, horizon=.7, zenith=1.0, noise=.5), lamps=[dict(type='point', radius=25, pos=[500, 500, 900], kelvin=2700, E=.5)]),
    'greenish tubes 4100 K': dict(world=dict(kelvin=4100, E=.3, horizon=.8, zenith=1.0, noise=.4), lamps=[dict(type='area', size=[1200, 150], pos=[-300, 400, 1500], kelvin=4100, tint=[1, 1.09, 1], E=.6)]),
    'low evening sun': dict(world=dict(kelvin=8500, E=.25, horizon=1.0, zenith=.9, noise=.3), lamps=[dict(type='sun', az=230, el=30, kelvin=4300, E=.7)]),
    'head torch in a dark shed': dict(world=dict(kelvin=5000, E=.06, horizon=.8, zenith=1.0, noise=.5), lamps=[dict(type='point', radius=12, pos=[60, -250, 520], kelvin=6200, E=.75)]),
}
TRAYS = {
    'light wood': dict(name='light wood', rgb=[.52, .36, .20], rough=.5, spec=.4, height=15, noise=dict(scale=[.02, .6, .05], rgb2=[.42, .28, .15]), bump=.05),
    'green plastic': dict(name='green plastic', rgb=[.05, .22, .10], rough=.4, spec=.45, height=16, noise=dict(scale=[.4, .4, .4], rgb2=[.055, .24, .11]), bump=.05),
}


def light(name):
    if name in LIGHT: return LIGHT[name]
    return dict(name=name, **LIGHTS[name])


def pal(r, brown=False):
    """Half the usual colours, half drawn freely; brown adds copper's own browns and oranges."""
    names = list(COL) + list(EXTRA)
    w = {str(n): float(np.exp(r.normal(0, .6))) for n in r.choice(names, 5, replace=False)}
    if brown: w.update(copperbrown=2.0, copperorange=1.5, brown=1.2, red=1.5)
    out = palette(EXTRA, **w)
    for k in range(3): out.append(dict(name='free%d' % k, w=float(np.exp(r.normal(0, .5))), rgb=[float(np.clip(x, .008, .85)) for x in hsv(r, U(r, 0, 1), U(r, .1, .9), U(r, .15, .85))], poly={'pvc': 1, 'pe': 1}, var=.2, hue=.04))
    return out


def product(kind, r):
    brown = 'brown' in kind; P = pal(r, brown); kc = dict(ox=U(r, 0, .35), tarnish=U(r, 0, .5), rgb=[.94, U(r, .5, .64), U(r, .34, .5)])
    D = [COARSE, MEDIUM, FINE][int(r.integers(0, 3))]; L = U(r, 2.2, 4.2); sz = U(r, 1.6, 3.0)
    cu = lambda m, h=.03: [wire(1, m * (.87 - h), D, L=L, **kc), hair(1, m * h, **kc), bundle(1, m * .13, **kc)]
    sn = lambda m: [wire(2, m * .8, FINE, L=L), hair(2, m * .08), bundle(2, m * .12)]
    al = lambda m: [flakes(m * .6), wire(3, m * .4, [[.4, 1], [.7, 1], [1.2, .5]], L=3)]
    I = lambda m, lk=.04: ins(m, P, size=sz, locked=lk, dirt=U(r, 0, .4))
    if kind == 'clean concentrate': return cu(.975, .05) + sn(.008) + [I(.017, .02)]
    if kind == 'hair-wire concentrate': return [hair(1, .52, lo=.08, hi=.25, **kc), wire(1, .32, FINE, L=L, **kc), bundle(1, .12, **kc), I(.04, 0)]
    if kind == 'ordinary concentrate': return cu(.88) + sn(.03) + [I(.085, .06), steel(.005)]
    if kind == 'tinned concentrate': return cu(.58) + sn(.30) + [I(.12)]
    if kind == 'contaminated concentrate with aluminium': return cu(.68) + sn(.02) + al(.13) + [I(.16, .06), steel(.01)]
    if kind == 'middlings': return cu(.24) + sn(.02) + al(.04) + [I(.68, .06), grit(.02)]
    if kind == 'tailings': return cu(.006, .3) + al(.006) + [I(.976, .003), grit(.012)]
    return [I(1.0, 0)]


LIST = [  # product, light, tray (None: mat), coverage, wet
    ('ordinary concentrate', 'warm bulb 2700 K', None, .36, 0),
    ('middlings', 'sun', None, .42, 0),
    ('blank with copper-brown', 'greenish tubes 4100 K', None, .42, 0),
    ('contaminated concentrate with aluminium', 'overcast', None, .38, 0),
    ('ordinary concentrate', 'cool6500', 'mid-grey plastic', .33, 0),
    ('hair-wire concentrate', 'overcast', None, .26, 0),
    ('tailings', 'mixed', None, .5, 0),
    ('clean concentrate', 'greenish tubes 4100 K', None, .4, 0),
    ('middlings', 'head torch in a dark shed', None, .4, .6),
    ('contaminated concentrate with aluminium', 'mixed', 'light wood', .32, 0),
    ('blank', 'low evening sun', None, .35, 0),
    ('tinned concentrate', 'led3000', None, .36, 0),
    ('middlings', 'overcast', 'dark blue plastic', .38, 0),
    ('clean concentrate', 'low evening sun', None, .32, 0),
    ('tailings', 'cool6500', None, .5, .8),
    ('ordinary concentrate', 'sun', None, .4, .7),
    ('blank with copper-brown', 'led3000', 'white enamel', .32, 0),
    ('hair-wire concentrate', 'warm bulb 2700 K', None, .22, 0),
    ('contaminated concentrate with aluminium', 'cool6500', None, .44, 0),
    ('tailings', 'greenish tubes 4100 K', 'green plastic', .4, 0),
]


def scene(i, other=0):
    kind = LIST[i][0]; _, lamp, tray, cover, wet = LIST[(i + 7 * other) % len(LIST)]; seed = 9001 + 100 * other + i; r = np.random.default_rng(seed)
    s = dict(name='fresh-%02d' % (i + 1), set='fresh', seed=seed, product=kind, surface='tray' if tray else 'mat', coverage=cover, components=product(kind, r), wet=wet, size=[2016, 1512],
             light=light(lamp), camera=cam(r), shot=shot(r), table=TABLES[int(r.integers(0, 4))], jpeg_q=int(r.integers(84, 94)), samples=8, threads=1, tarnish_cover=U(r, .1, .8), prio=i)
    if tray: s['tray'] = TRAYS[tray] if tray in TRAYS else TRAY[tray]
    return s


if __name__ == '__main__':
    d, parts, other = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 1, int(sys.argv[3]) if len(sys.argv) > 3 else 0
    for i in range(len(LIST)):
        o = os.path.join(d, str(i % parts)) if parts > 1 else d; os.makedirs(o, exist_ok=True)
        s = scene(i, other); json.dump(s, open(os.path.join(o, s['name'] + '.job.json'), 'w'), indent=1)
    print(len(LIST), 'scenes')

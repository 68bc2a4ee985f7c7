"""Draws particles of a product. A product is a list of components with target mass shares; the numbers that are
drawn per component follow from the mean piece mass of each component, so any finite draw scatters about the target."""

import numpy as np

RHO = {'copper': 8.96, 'tinned': 8.90, 'aluminium': 2.70, 'steel': 7.85, 'grit': 2.6}
POLY = {'pvc': (1.25, 1.55), 'pe': (0.92, 0.95), 'rubber': (1.1, 1.4)}


class Pop:
	"""structure of arrays: one row per piece"""

	def __init__(self, **k):
		self.__dict__.update(k)

	def __len__(self):
		return len(self.cls)

	def take(self, idx):
		return Pop(**{k: v[idx] for k, v in self.__dict__.items()})


def _pick_by_aspect(vs, asp, rng):
	a = np.array([v['aspect'] for v in vs])
	j = np.searchsorted(a, asp) + rng.integers(-2, 3, len(asp))
	return np.clip(j, 0, len(vs) - 1)


def _lognorm(rng, n, med, sig, lo, hi):
	x = np.exp(rng.normal(np.log(med), sig, n))
	bad = (x < lo) | (x > hi)
	k = 0
	while bad.any() and k < 30:
		x[bad] = np.exp(rng.normal(np.log(med), sig, bad.sum()))
		bad = (x < lo) | (x > hi)
		k += 1
	return np.clip(x, lo, hi)


def draw(comp, n, lib, rng):
	"""n pieces of one component -> Pop"""
	fam_names = sorted(lib)
	fi = {f: i for i, f in enumerate(fam_names)}
	cls = np.full(n, comp['cls'])
	fam = np.zeros(n, int)
	var = np.zeros(n, int)
	sc = np.ones(n)
	rho = np.zeros(n)
	col = np.ones((n, 4))
	mat = np.empty(n, dtype='<U12')
	kind = comp['kind']
	mat[:] = comp.get('mat', {1: 'copper', 2: 'tinned', 3: 'alu', 4: 'ins', 5: 'steel'}[comp['cls']])
	if kind in ('wire', 'hair', 'bundle'):
		if 'd' in comp:
			dd = np.array([x[0] for x in comp['d']])
			ww = np.array([x[1] for x in comp['d']], float)
			d = dd[rng.choice(len(dd), n, p=ww / ww.sum())] * np.exp(rng.normal(0, 0.03, n))
		else:
			d = np.exp(rng.uniform(np.log(comp['drange'][0]), np.log(comp['drange'][1]), n))
		lo, hi = {'wire': (1, 8), 'bundle': (2, 8), 'hair': (3, 15)}[kind]
		lo, hi = comp.get('lo', lo), comp.get('hi', hi)
		L = _lognorm(rng, n, comp['L'][0], comp['L'][1], lo, hi)
		L = np.maximum(L, 0.9 * d)
		var = _pick_by_aspect(lib[kind], L / d, rng)
		fam[:] = fi[kind]
		sc = d
	elif kind == 'mix':
		ks = list(comp['mix'])
		w = np.array([comp['mix'][k] for k in ks], float)
		q = rng.choice(len(ks), n, p=w / w.sum())
		sc = _lognorm(rng, n, comp['size'][0], comp['size'][1], comp.get('lo', 1), comp.get('hi', 5))
		for i, k in enumerate(ks):
			m = q == i
			fam[m] = fi[k]
			var[m] = rng.integers(0, len(lib[k]), m.sum())
	else:
		fam[:] = fi[kind]
		var = rng.integers(0, len(lib[kind]), n)
		sc = _lognorm(rng, n, comp['size'][0], comp['size'][1], comp.get('lo', 1), comp.get('hi', 5))
		if kind == 'flake':  # keep sheet thickness within 0.05..0.3 mm
			t = np.array([v['aspect'] for v in lib['flake']])
			for _ in range(20):
				th = t[var] * sc
				bad = (th < 0.05) | (th > 0.3)
				if not bad.any():
					break
				var[bad] = rng.integers(0, len(t), bad.sum())
	vol = np.zeros(n)
	corevol = np.zeros(n)
	foot = np.zeros(n)
	for f in np.unique(fam):
		m = fam == f
		V = np.array([v['vol'] for v in lib[fam_names[f]]])
		A = np.array([v['foot'] for v in lib[fam_names[f]]])
		vol[m] = V[var[m]] * sc[m] ** 3
		foot[m] = A[var[m]] * sc[m] ** 2
		if fam_names[f] == 'locked':
			C = np.array([v['core']['vol'] for v in lib['locked']])
			corevol[m] = C[var[m]] * sc[m] ** 3
	if comp['cls'] == 4:
		pal = comp['palette']
		w = np.array([p['w'] for p in pal], float)
		pi = rng.choice(len(pal), n, p=w / w.sum())
		for i, p in enumerate(pal):
			m = pi == i
			k = m.sum()
			pol = list(p['poly'])
			pw = np.array([p['poly'][x] for x in pol], float)
			pj = rng.choice(len(pol), k, p=pw / pw.sum())
			lo = np.array([POLY[x][0] for x in pol])[pj]
			hi = np.array([POLY[x][1] for x in pol])[pj]
			rho[m] = rng.uniform(lo, hi)
			c = (
				np.array(p['rgb'])[None, :]
				* np.exp(rng.normal(0, p.get('var', 0.12), (k, 1)))
				* np.exp(rng.normal(0, p.get('hue', 0.04), (k, 3)))
			)
			g = rng.uniform(0, comp.get('dirt', 0.15), (k, 1))
			c = c * (1 - g) + g * np.array([[0.16, 0.15, 0.135]])
			col[m, :3] = np.clip(c, 0.004, 0.92)
			mat[m] = p.get('mat', comp.get('mat', 'ins'))
	else:
		rho[:] = RHO[
			{'copper': 'copper', 'copper_ox': 'copper', 'tinned': 'tinned', 'alu': 'aluminium', 'steel': 'steel', 'grit': 'grit'}[
				mat[0] if n else 'copper'
			]
		]
		base = {
			'copper': (0.93, 0.55, 0.38),
			'tinned': (0.60, 0.59, 0.56),
			'alu': (0.80, 0.80, 0.80),
			'steel': (0.33, 0.31, 0.29),
			'grit': (0.33, 0.28, 0.20),
		}[comp.get('mat', {1: 'copper', 2: 'tinned', 3: 'alu', 5: 'steel'}[comp['cls']])]
		base = comp.get('rgb', base)
		c = np.array(base)[None, :] * np.exp(rng.normal(0, 0.07, (n, 1))) * np.exp(rng.normal(0, 0.02, (n, 3)))
		if comp['cls'] == 1:
			# light tarnish on every piece, heavier brown on the share 'ox'
			tar = rng.uniform(0, comp.get('tarnish', 0.25), (n, 1))
			c = c * (1 - tar) + tar * np.array([[0.42, 0.19, 0.105]])
			o = rng.random(n) < comp.get('ox', 0)
			k = o.sum()
			ob = np.array(comp.get('ox_rgb', (0.30, 0.135, 0.07)))
			c[o] = ob[None] * np.exp(rng.normal(0, 0.25, (k, 1))) * np.exp(rng.normal(0, 0.05, (k, 3)))
			mat[o] = 'copper_ox'
		col[:, :3] = np.clip(c, 0.01, 0.97)
	mass = vol * rho * 1e-3  # g (mm3 * g/cm3 * 1e-3)
	core = corevol * RHO['copper'] * 1e-3
	return Pop(cls=cls, fam=fam, var=var, sc=sc, rho=rho, col=col, mat=mat, vol=vol, mass=mass, core=core, foot=foot)


def concat(ps):
	return Pop(**{k: np.concatenate([getattr(p, k) for p in ps]) for k in ps[0].__dict__})


def number_shares(comps, lib):
	"""pieces per gram of product for each component. insulation components may carry 'locked': number share of
	their pieces that still hold a core."""
	rng = np.random.default_rng(12345)
	rows, F = [], {}
	full = []
	for c in comps:
		c = dict(c)
		lk = c.pop('locked', 0.0)
		mass = c['mass']
		m = draw(c, 3000, lib, rng).mass.mean()
		if lk > 0:
			cl = dict(c)
			cl['kind'] = 'locked'
			cl['size'] = [max(c['size'][0], 2.0), 0.3]
			cl['lo'] = 1.3
			q = draw(cl, 3000, lib, rng)
			r = lk / (1 - lk)
			n = mass / (m + r * q.mass.mean())
			full.append([c, n])
			full.append([cl, n * r])
			F['lockcu'] = F.get('lockcu', 0) + n * r * q.core.mean()
		else:
			full.append([c, mass / m])
	# the bare copper gives way to the locked copper
	cu = sum(c['mass'] for c in comps if c['cls'] == 1)
	if F.get('lockcu') and cu > 0:
		k = max(0.03, (cu - F['lockcu']) / cu)
		for row in full:
			if row[0]['cls'] == 1:
				row[1] *= k
	return full


def make_population(comps, n_total, lib, rng):
	rows = number_shares(comps, lib)
	w = np.array([r[1] for r in rows])
	w = w / w.sum()
	cnt = rng.multinomial(n_total, w)
	p = concat([draw(r[0], int(k), lib, rng) for r, k in zip(rows, cnt) if k > 0])
	return p.take(rng.permutation(len(p)))


def composition(p):
	m = {str(c): float(p.mass[p.cls == c].sum()) for c in range(1, 6)}
	core = float(p.core.sum())
	m['1'] += core
	tot = sum(m.values())
	return dict(
		mass_g_by_class={k: round(v, 6) for k, v in m.items()},
		total_mass_g=round(tot, 6),
		locked_copper_mass_g=round(core, 6),
		copper_mass_fraction=round(m['1'] / tot, 6),
		tinned_mass_fraction=round(m['2'] / tot, 6),
		aluminium_mass_fraction=round(m['3'] / tot, 6),
		insulation_mass_fraction=round(m['4'] / tot, 6),
		other_mass_fraction=round(m['5'] / tot, 6),
		locked_copper_mass_fraction=round(core / tot, 6),
	)


def place(p, lib, W, H, rng, cell=0.15, tries=8, spread=None):
	"""2.5D drop onto a height map. Returns rotation matrices (n,3,3) and positions (n,3), origin at field centre."""
	fam_names = sorted(lib)
	nx, ny = int(np.ceil(W / cell)), int(np.ceil(H / cell))
	Hm = np.zeros((nx, ny), np.float32)
	# density of the spread: fuller in the middle, ragged, clumpy
	g = rng.normal(size=(7, 6))
	gx = np.linspace(0, 6, nx)
	gy = np.linspace(0, 5, ny)

	def interp2(g):
		x0 = np.clip(gx.astype(int), 0, g.shape[0] - 2)
		y0 = np.clip(gy.astype(int), 0, g.shape[1] - 2)
		fx = (gx - x0)[:, None]
		fy = (gy - y0)[None]
		fx = fx * fx * (3 - 2 * fx)
		fy = fy * fy * (3 - 2 * fy)
		a = g[x0][:, y0]
		b = g[x0 + 1][:, y0]
		c = g[x0][:, y0 + 1]
		d = g[x0 + 1][:, y0 + 1]
		return a * (1 - fx) * (1 - fy) + b * fx * (1 - fy) + c * (1 - fx) * fy + d * fx * fy

	ux = np.abs(np.linspace(-1, 1, nx))[:, None]
	uy = np.abs(np.linspace(-1, 1, ny))[None]
	k = spread if spread is not None else rng.uniform(0.2, 0.8)
	dens = np.exp(0.35 * k * interp2(g)) * np.exp(-k * 0.9 * (ux**4 + uy**4))
	# ragged outline with rounded corners instead of a sharp rectangle
	ang = np.arctan2(np.linspace(-1, 1, ny)[None], np.linspace(-1, 1, nx)[:, None])
	rad = (ux**5 + uy**5) ** 0.2
	r0 = (
		0.94
		+ 0.022 * np.sin(3 * ang + rng.uniform(0, 6.28))
		+ 0.018 * np.sin(7 * ang + rng.uniform(0, 6.28))
		+ 0.012 * np.sin(17 * ang + rng.uniform(0, 6.28))
	)
	dens = dens / dens.max() / (1 + np.exp(-(r0 - rad) / 0.018))
	dens /= dens.max()
	n = len(p)
	R = np.zeros((n, 3, 3))
	T = np.zeros((n, 3))
	ok = np.ones(n, bool)
	order = np.argsort(-p.foot * np.exp(rng.normal(0, 0.8, n)))  # larger ones tend to be laid first
	tilts = np.deg2rad([-16, -10, -6, -3, 3, 6, 10, 16])

	def rest(Pw, x, y):
		ix = ((Pw[:, 0] + x) / cell).astype(int)
		iy = ((Pw[:, 1] + y) / cell).astype(int)
		if ix.min() < 0 or iy.min() < 0 or ix.max() >= nx or iy.max() >= ny:
			return None
		z = max(float((Hm[ix, iy] - Pw[:, 2]).max()), float(-Pw[:, 2].min()))
		return z, ix, iy

	for i in order:
		v = lib[fam_names[p.fam[i]]][p.var[i]]
		S = v['S'] * p.sc[i]
		kind = v['kind']
		roll = rng.normal(0, 0.12) if kind in ('flake', 'chip', 'half', 'hair', 'bundle') else rng.normal(0, 0.35)
		if kind in ('granule',):
			roll = rng.normal(0, 0.5)
		best = None
		for t in range(tries * 4):
			x, y = rng.uniform(0, W), rng.uniform(0, H)
			if rng.random() > dens[min(int(x / cell), nx - 1), min(int(y / cell), ny - 1)]:
				continue
			yaw = rng.uniform(0, 2 * np.pi)
			c, s = np.cos(yaw), np.sin(yaw)
			cr, sr = np.cos(roll), np.sin(roll)
			M = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]) @ np.array([[1, 0, 0], [0, cr, -sr], [0, sr, cr]])
			Pw = S @ M.T
			q = rest(Pw, x, y)
			if q is None:
				continue
			if best is None or q[0] < best[0]:
				best = (q[0], x, y, M, Pw, q[1], q[2])
			low = q[0] + float(Pw[:, 2].min())
			if low < 0.06 or t >= tries:
				break
		if best is None:
			ok[i] = False
			continue
		z, x, y, M, Pw, ix, iy = best
		low = z + Pw[:, 2].min()
		if low > 0.06:  # lies on others: let it lean to the lowest resting pose
			bz, bb = z, None
			ax = M @ np.array([0, 1, 0.0])
			ax[2] = 0
			ax /= np.linalg.norm(ax) + 1e-9
			lx = M @ np.array([1.0, 0, 0])
			lx[2] = 0
			lx /= np.linalg.norm(lx) + 1e-9
			for axis in (ax, lx):
				for a in tilts * (1 if axis is ax else 2):
					K = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
					Q = np.eye(3) + np.sin(a) * K + (1 - np.cos(a)) * K @ K
					Pq = Pw @ Q.T
					r = rest(Pq, x, y)
					if r is not None and r[0] < bz - 1e-4:
						bz, bb = r[0], (Q @ M, Pq, r[1], r[2])
			if bb is not None:
				z, (M, Pw, ix, iy) = bz, bb
		np.maximum.at(Hm, (ix, iy), (Pw[:, 2] + z).astype(np.float32))
		R[i] = M
		T[i] = (x - W / 2, y - H / 2, z)
	return R, T, ok

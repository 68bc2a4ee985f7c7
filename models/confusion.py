"""Collects the scenes that a training kept out, from its result (or from those of all folds): confusion.py OUT RESULT.json...
For every scene: confusion of the likeliest class (rows true, columns called; pixels at the picture's own resolution inside
the field) and summed probabilities by true class; true areas are the rows' sums. Sums per
kind of surface stand beside them, over the scenes of make_more.py too, which are not listed one by one. Every scene was scored by a network that never saw it (nor, for the worked run, any of
its twelve trays)."""

import sys, json
import numpy as np

out, files = sys.argv[1], sys.argv[2:]
scenes, sums = [], {}
for k, f in enumerate(files):
	J = json.load(open(f))
	for r in J['results']:
		kind = r['surface'] if r['set'] == 'tray' else 'close-up on ' + r['surface']
		H = np.array(r['hard'])
		S = np.array(r['soft'])
		s = sums.setdefault(kind, dict(scenes=0, called=np.zeros((6, 6)), meanProbability=np.zeros((6, 6))))
		s['scenes'] += 1
		s['called'] += H
		s['meanProbability'] += S
		if r['set'] != 'more':
			scenes.append(
				dict(
					scene=r['name'],
					kind=kind,
					surface=r['kind'],
					light=r['light'],
					product=r['product'],
					fold=k,
					called=H.tolist(),
					meanProbability=np.round(S).astype(int).tolist(),
				)
			)
for s in sums.values():
	s['called'] = s['called'].astype(int).tolist()
	s['meanProbability'] = np.round(s['meanProbability']).astype(int).tolist()
with open(out, 'w') as f:
	f.write(
		'{"classes":["background","copper","tinned","aluminium","insulation","other"],\n"rows":"true class","columns":"called class (called) or summed probability (meanProbability), pixels",\n"kinds":{\n'
	)
	f.write(',\n'.join('%s:%s' % (json.dumps(k), json.dumps(v, separators=(',', ':'))) for k, v in sums.items()) + '},\n"scenes":[\n')
	f.write(',\n'.join(json.dumps(s, separators=(',', ':')) for s in scenes) + ']}\n')
print(len(scenes), 'scenes', {k: v['scenes'] for k, v in sums.items()})

"""Collects the whole trays that a training kept out, from its result (or from those of all folds): confusion.py OUT RESULT.json...
For every scene: confusion of the likeliest class (rows true, columns called; pixels at the picture's own resolution inside
the field) and summed probabilities by true class; true areas are the rows' sums. Every scene was scored by a network that never saw it (nor,
for the worked run, any of its twelve trays). Light and product stand in make_dev.py and make_fresh.py."""

import sys, json
import numpy as np

out, files = sys.argv[1], sys.argv[2:]
scenes = []
for f in files:
	for r in json.load(open(f))['results']:
		if r['set'] != 'more':
			soft = np.round(r['soft']).astype(int).tolist()
			scenes.append(dict(scene=r['name'], surface=r['kind'], called=np.array(r['hard']).tolist(), meanProbability=soft))
with open(out, 'w') as f:
	f.write(
		'{"classes":["background","copper","tinned","aluminium","insulation","other"],\n"rows":"true class","columns":"called class (called) or summed probability (meanProbability), pixels",\n"scenes":[\n'
	)
	f.write(',\n'.join(json.dumps(s, separators=(',', ':')) for s in scenes) + ']}\n')
print(len(scenes), 'scenes')

"""Takes the shipped weights back into a checkpoint that train.py can begin with: unfold.py CLASSIFIER OUT.pt LOSS_WEIGHT (six times)
For when the checkpoint itself is lost. Normalisation was folded into the convolutions on export, so it comes back as what only adds the bias
(train with renew=1); weights are as exact as float16. The loss weights left through the last bias: they are those that the log tells of the last step.
"""

import sys, json
import brotli, numpy as np, torch
from network import Net

folder, out, *loss_weights = sys.argv[1:]
model = json.load(open(folder + '/model.json'))
planes = np.frombuffer(brotli.decompress(open(folder + '/weights.planes.br', 'rb').read()), np.uint8).reshape(2, -1)
raw = np.ascontiguousarray(planes[::-1].T).view('<f2')[:, 0].astype(np.float32)
at = 0
got = {}
for w in model['weightsManifest'][0]['weights']:
	n = int(np.prod(w['shape']))
	got[w['name']] = torch.from_numpy(raw[at : at + n].reshape(w['shape']).copy())
	at += n
assert at == len(raw)
width = lambda layer: len(got[layer + '/bias'])
net = Net((width('e0a'), width('d1'), width('d2'), width('d3')), width('f0a'), again=0).eval()
state = net.state_dict()
for name, module in net.named_modules():
	if name == 'head' or name.endswith('.conv'):
		layer = name.split('.')[0]
		layer = {'f0b': 'features', 'head': 'classes'}.get(layer, layer)
		state[name + '.weight'] = got[layer + '/kernel'].permute(3, 2, 0, 1).contiguous()
		if name == 'head':
			state['head.bias'] = got['classes/bias'] + torch.log(torch.tensor([float(x) for x in loss_weights]))
		else:
			bn = name[:-5] + '.bn.'
			state[bn + 'bias'] = got[layer + '/bias']
			state[bn + 'running_mean'] = torch.zeros_like(got[layer + '/bias'])
			state[bn + 'running_var'] = torch.full_like(got[layer + '/bias'], 1 - net.e0a.bn.eps)
			state[bn + 'weight'] = torch.ones_like(got[layer + '/bias'])
net.load_state_dict(state)
torch.save(
	dict(
		net=net.state_dict(), cw=torch.tensor([float(x) for x in loss_weights]), prior=torch.tensor(model['userDefinedMetadata']['prior'])
	),
	out,
)

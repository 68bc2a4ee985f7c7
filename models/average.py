"""Averages the weights of two trainings of which one went on from the other: average.py OUT.pt FIRST.pt SECOND.pt SHARE (of the second)
Between such a pair the way is smooth: the mean keeps much of what each does best. `train.py PACK OUT begin=OUT.pt tail=1 steps=0 test=HELD`
then scores it and writes it for export.py."""

import sys, torch

out, first, second, share = sys.argv[1:]
A, B = (torch.load(f, map_location='cpu') for f in (first, second))
s = float(share)
A['net'] = {k: (1 - s) * v + s * B['net'][k] if v.dtype.is_floating_point else v for k, v in A['net'].items()}
torch.save(A, out)

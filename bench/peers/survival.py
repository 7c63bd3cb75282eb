# Curves of how recoveries end, by statsmodels.
import sys
import time

import numpy as np
from statsmodels.duration.survfunc import CumIncidenceRight, SurvfuncRight

table = np.genfromtxt(sys.argv[1], delimiter=",", names=True)
runs = int(sys.argv[2])
days, ending = table["by"], table["ending"].astype(int)


def timed(name, work):
    for _ in range(runs):
        cpu, wall = time.process_time(), time.perf_counter()
        fit = work()
        print(name + "-time", time.process_time() - cpu, time.perf_counter() - wall, sep=",")
    return fit


km = timed("km", lambda: SurvfuncRight(days, (ending == 1).astype(int)))
for day, share, error in zip(km.surv_times, km.surv_prob, km.surv_prob_se):
    if share > 0:
        print("km", day, share, error, sep=",")
aj = timed("aj", lambda: CumIncidenceRight(days, ending))
for i, day in enumerate(aj.times):
    print("aj", day, aj.cinc[0][i], aj.cinc[1][i], sep=",")

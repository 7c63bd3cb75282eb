# The local linear trend of science/growth with statsmodels: irregular days become
# transitions that change from reading to reading. The first reading is what the
# filter starts from, as a diffuse start would have it.
import sys
import time

import numpy as np
from statsmodels.tsa.statespace.kalman_smoother import KalmanSmoother

path, runs = sys.argv[1], int(sys.argv[2])
noise, error, rate, rate_var = map(float, sys.argv[3:7])
table = np.genfromtxt(path, delimiter=",", names=True)
roots = [table[table["root"] == i] for i in np.unique(table["root"])]


def smooth(days, lengths):
    n = len(days)
    model = KalmanSmoother(k_endog=1, k_states=2)
    seen = lengths.copy()
    seen[0] = np.nan
    model.bind(seen)
    gap = np.append(np.diff(days), 0.0)
    transition = np.zeros((2, 2, n))
    transition[0, 0], transition[1, 1], transition[0, 1] = 1, 1, gap
    wander = np.zeros((2, 2, n))
    wander[0, 0] = noise * gap**3 / 3
    wander[0, 1] = wander[1, 0] = noise * gap**2 / 2
    wander[1, 1] = noise * gap
    model["design"] = np.array([[1.0, 0.0]])
    model["obs_cov"] = np.array([[error]])
    model["transition"], model["state_cov"], model["selection"] = transition, wander, np.eye(2)
    model.initialize_known(np.array([lengths[0], rate]), np.diag([error, rate_var]))
    return model.smooth()


for _ in range(runs):
    cpu, wall = time.process_time(), time.perf_counter()
    for i, root in enumerate(roots):
        result = smooth(root["day"], root["length"])
    print("time", time.process_time() - cpu, time.perf_counter() - wall, sep=",")
for i in range(0, len(roots), max(1, len(roots) // 50)):
    result = smooth(roots[i]["day"], roots[i]["length"])
    print("root", i, result.filtered_state[1, -1], result.filtered_state_cov[1, 1, -1], result.smoothed_state[1, 0], sep=",")

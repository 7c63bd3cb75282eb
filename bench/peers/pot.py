# The pot model of science/pot over many pots at once, as arrays: one step an
# hour, each process integrated exactly on its own, in the same order. Prints the
# time of each run and the hourly wetness and EC of some pots.
import sys
import time

import numpy as np


def read(path):
    table = np.genfromtxt(path, delimiter=",", names=True)
    return {name: np.atleast_1d(table[name]).astype(float) for name in table.dtype.names}


def two_stage(depletion, ready, total, potential):
    """Lost at the full rate until ready, then falling to nothing at total."""
    first = np.minimum(np.maximum(ready - depletion, 0), potential)
    rest = potential - first
    return first + (total - depletion - first) * -np.expm1(-rest / (total - ready)), rest


def displace(salt, tank, passed, ec):
    """Passed water pushes through well-mixed tanks in series."""
    n = passed / tank
    tanks = salt.shape[0]
    moved, beyond = [], []
    share, further = np.exp(-n), -np.expm1(-n)
    for k in range(tanks):
        if k > 0:
            share = share * n / k
            further = np.maximum(0, further - share)
        moved.append(share)
        beyond.append(further)
    after = np.empty_like(salt)
    for k in range(tanks):
        after[k] = ec * tank * beyond[k]
        for i in range(k + 1):
            after[k] += salt[i] * moved[k - i]
    return after


def simulate(p, course, pours):
    hours, pots = len(course), len(p["film"])
    tanks = int(p["tanks"][0])
    film, particle = p["film"].copy(), p["particle"].copy()
    film_salt = np.tile(p["film_ec"] * film / tanks, (tanks, 1))
    particle_salt = p["particle_ec"] * particle
    depletion, age = p["depletion"].copy(), p["age"].copy()
    film_capacity, particle_capacity = p["film_capacity"], p["particle_capacity"]
    capacity = film_capacity + particle_capacity
    total, ready, per_mm = p["total_mm"], p["ready_mm"], p["ml_per_mm"]
    stores = 1 + particle_capacity / film_capacity
    swap = particle_capacity / stores
    root_ready = capacity * (1 - p["root_wetness"])
    released = -np.expm1(-p["release"] / 24 * stores)
    chip = np.exp(-1 / p["salt_hours"])
    wetness_out, ec_out = np.empty((hours, pots)), np.empty((hours, pots))
    days, took_dry, took_moist = None, None, None
    exponentials = 0

    for hour in range(hours):
        if hour in pours:
            wet = np.minimum(1, np.minimum(1, (film + particle) / capacity) / p["critical"])
            dry_share = p["capture_dry_fresh"] + (p["capture_dry_aged"] - p["capture_dry_fresh"]) * age
            wet_share = p["capture_wet_fresh"] + (p["capture_wet_aged"] - p["capture_wet_fresh"]) * age
            share = dry_share * (1 - wet) + wet_share * wet
            deficit = np.maximum(0, capacity - film - particle)
            caught = np.minimum(np.minimum(p["pour"], share * deficit), np.maximum(0, film_capacity - film))
            film += caught
            depletion = np.maximum(0, depletion - caught / per_mm)
            film_salt += caught * p["pour_ec"] / tanks
            passed = (p["pour"] - caught) * (1 - p["bypass"])
            film_salt = displace(film_salt, film / tanks, passed, p["pour_ec"])
            exponentials += 2 * pots

        demand, potential = p["demand"] * course[hour], p["potential"] * course[hour]
        wetness = (film + particle) / capacity

        # Surface and wall.
        loss, rest = two_stage(depletion, ready, total, potential)
        exponentials += np.count_nonzero(rest) + pots
        loss = np.maximum(loss, np.minimum(potential, p["floor_mm"] / 24 * wetness))
        ml = np.minimum(loss * per_mm, film)
        film -= ml
        depletion = np.minimum(depletion + ml / per_mm, total)
        share = -np.expm1(-potential * p["wall_per_mm"])
        film -= share * film
        particle -= share * particle
        depletion += share * (total - depletion)

        # Roots.
        water = film + particle
        loss, rest = two_stage(capacity - water, root_ready, capacity, demand)
        exponentials += np.count_nonzero(rest)
        share = np.minimum(1, loss / water)
        ml = share * water
        film -= share * film
        particle -= share * particle
        depletion += share * (total - depletion)
        salt = film_salt.sum(axis=0) + particle_salt
        keep = np.maximum(0, 1 - ml * p["uptake_ec"] / salt)
        film_salt *= keep
        particle_salt *= keep

        # Water between film and particles.
        now = np.floor(age * p["ageing_days"])
        if days is None or not np.array_equal(now, days):
            # Counted once for each pot whose day it is, computed for all.
            changed = pots if days is None else np.count_nonzero(now != days)
            days = now
            exact = days / p["ageing_days"]
            dry = p["uptake_dry_fresh"] * (p["uptake_dry_aged"] / p["uptake_dry_fresh"]) ** exact / 24
            moist = p["uptake_moist_fresh"] * (p["uptake_moist_aged"] / p["uptake_moist_fresh"]) ** exact / 24
            took_dry, took_moist = -np.expm1(-dry * stores), -np.expm1(-moist * stores)
            exponentials += 3 * changed
        filling = particle / particle_capacity
        difference = film / film_capacity - filling
        took = np.where(filling < p["uptake_switch"], took_dry, took_moist)
        into = np.minimum(np.maximum(difference, 0) * swap * took, film)
        out = np.minimum(np.maximum(-difference, 0) * swap * released, particle)
        carried_in, carried_out = film_salt * (into / film), particle_salt * (out / particle)
        film_salt += carried_out / tanks - carried_in
        particle_salt += carried_in.sum(axis=0) - carried_out
        film += out - into
        particle += into - out

        # Salt between film and particles.
        uneven = np.exp(-particle / film / p["salt_hours"])
        exponentials += pots
        film_sum = film_salt.sum(axis=0)
        to_particles = (film_sum * particle - particle_salt * film) / (film + particle) * (1 - uneven * chip)
        particle_salt += to_particles
        film_salt = film_salt * uneven + (film_sum - to_particles - film_sum * uneven) / tanks
        age = np.minimum(1, age + np.where(wetness >= p["wet_roots"], 1 / (24 * p["ageing_days"]), 0))

        water = film + particle
        wetness_out[hour] = np.minimum(1, water / capacity)
        ec_out[hour] = (film_salt.sum(axis=0) + particle_salt) / np.maximum(water, 0.02 * capacity)
    return wetness_out, ec_out, exponentials / pots


def main():
    p, course, runs = read(sys.argv[1]), read(sys.argv[2])["course"], int(sys.argv[3])
    pours = set(range(8, len(course), 72))
    for _ in range(runs):
        cpu, wall = time.process_time(), time.perf_counter()
        wetness, ec, exponentials = simulate(p, course, pours)
        print("time", time.process_time() - cpu, time.perf_counter() - wall, sep=",")
    print("exponentials", exponentials, sep=",")
    pots = wetness.shape[1]
    for i in sorted({0, 1, pots // 2, pots - 1}):
        print("wetness", i, *wetness[:, i], sep=",")
        print("ec", i, *ec[:, i], sep=",")


main()

"""Holds the statistics of `oar realism` against lifelines, scipy, statsmodels and numpy on the same records, and its JSON against its
schema. Usage: realism.py OAR_BINARY"""

import json
import subprocess
import sys
import tempfile
import warnings
from collections import defaultdict
from datetime import date, timedelta
from pathlib import Path

import jsonschema
import lifelines
import lifelines.datasets
import lifelines.utils
import numpy as np
import scipy.stats as st
import statsmodels.api as sm
from statsmodels.stats.proportion import proportion_confint
from statsmodels.stats.weightstats import CompareMeans, DescrStatsW

warnings.filterwarnings("ignore")
oar = str(Path(sys.argv[1]).resolve())
root = Path(__file__).resolve().parent.parent
schema = json.loads((root / "schema/v1/realism.schema.json").read_text(encoding="utf-8"))
compared = 0


def report(records):
    """The report on records, which all have to be read."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "cohort.oar.jsonl"
        path.write_text("".join(json.dumps(record) + "\n" for record in records), encoding="utf-8")
        found = subprocess.run([oar, "check", "--max-findings", "0", path], capture_output=True, text=True)
        assert found.returncode == 0, found.stdout
        out = subprocess.run([oar, "realism", "--min-count", "1", "-o", "json", path], check=True, capture_output=True).stdout
    told = json.loads(out)
    jsonschema.Draft202012Validator(schema).validate(told)
    assert told["cohort"]["records"] == len(records) and told["cohort"]["left_out"] == 0, told["cohort"]
    return told


def same(what, ours, theirs, within=1e-6):
    global compared
    compared += 1
    assert (ours is None) == (theirs is None), (what, ours, theirs)
    assert ours is None or abs(ours - theirs) <= within * max(1, abs(theirs)), f"{what}: {ours}, elsewhere {theirs}"


def interval(what, ours, value, low, high, within=1e-6):
    same(what, ours["value"], value, within)
    same(what + ", lower end", ours["low"], low, within)
    same(what + ", upper end", ours["high"], high, within)


def row(told, id):
    return next(row["cohort"] for row in told["statistics"] if row["id"] == id)


def measure(told, name):
    return next(value for value in told["measures"] if value["name"] == name)


def curve(told, name):
    return next(curve for curve in told["curves"] if curve["measure"] == name)


def day(text):
    return date.fromisoformat(text)


# ---- records that hold what is to be compared

START = date(2031, 2, 3)


def record(index, days=100, state="finished"):
    end = START + timedelta(days=int(days))
    active = state == "active"
    worn = {"series": 0, "tray": 30, "arches": "both", "from": str(START)}
    if not active:
        worn.update({"to": str(end), "ended": "stopped"})
    return {
        "format": "open-aligner-record", "version": "1.0", "id": f"C-{index}",
        "source": {"system": "quillmere-chart", "exported_at": f"{end}T12:00:00+02:00" if active else "2060-01-01T12:00:00+01:00"},
        "patient": {"id": f"P-{index}", "birth_year": 2000, "time_zone": "Europe/Vienna", "sex": "female"},
        "dentition": {"absent": [18, 28, 38, 48]},
        "prescription": {"wear_goal_minutes": 1320, "wear_minimum_minutes": 1200, "change_interval_days": 30},
        "series": [{"number": 0, "trays": {"upper": 30, "lower": 30}, "movements": []}],
        "wear_periods": [worn],
        "status": {"state": state, "since": str(START if active else end)},
    }


def check_curve(what, told, durations, events):
    """A Kaplan–Meier curve with its bounds and median against lifelines."""
    fitter = lifelines.KaplanMeierFitter(alpha=0.05).fit(durations, events)
    bounds = fitter.confidence_interval_survival_function_
    known = fitter.event_table
    steps = {step["day"]: step for step in told["steps"]}
    for day in known.index[known["observed"] > 0]:
        step = steps[int(day)]
        assert step["at_risk"] == known.loc[day, "at_risk"] and step["events"] == known.loc[day, "observed"], (what, day)
        same(f"{what}, day {day}", step["without"], fitter.predict(day))
        if 0 < step["without"] < 1:
            same(f"{what}, day {day}, lower end", step["low"], bounds.loc[day].iloc[0])
            same(f"{what}, day {day}, upper end", step["high"], bounds.loc[day].iloc[1])
    median = fitter.median_survival_time_
    same(f"{what}, median", told["median"] and told["median"]["day"], None if np.isinf(median) else median)
    if told["median"]:
        ends = lifelines.utils.median_survival_times(fitter.confidence_interval_).iloc[0]
        for name, theirs in zip(["low", "high"], ends):
            same(f"{what}, median, {name}", told["median"][name], None if np.isinf(theirs) else theirs)


def lifelines_datasets():
    """Two published sets that lifelines carries, as times to the finish."""
    waltons = lifelines.datasets.load_waltons()
    leukemia = lifelines.datasets.load_leukemia()
    recidivism = lifelines.datasets.load_rossi()
    sets = [("Walton's flies", waltons["T"], waltons["E"]), ("weeks of remission", leukemia["t"], leukemia["status"]),
            ("weeks to arrest", recidivism["week"], recidivism["arrest"])]
    for what, durations, events in sets:
        records = [record(i, t, "finished" if e else "active") for i, (t, e) in enumerate(zip(durations, events))]
        check_curve(what, curve(report(records), "to_finish"), durations, events)


def random_cohort(n, rng):
    records = []
    for i in range(n):
        one = record(i, rng.integers(60, 900), rng.choice(["finished", "fixed", "discontinued", "active"], p=[0.6, 0.1, 0.1, 0.2]))
        one["patient"]["birth_year"] = int(rng.integers(1970, 2017))
        one["patient"]["sex"] = str(rng.choice(["female", "male"], p=[0.7, 0.3]))
        one["prescription"]["follow_up"] = {"remote": bool(rng.random() < 0.5), "reminders": bool(rng.random() < 0.6), "sensor": False}
        one["dentition"]["absent"] = [18, 28] + [int(t) for t in (12, 35, 45) if rng.random() < 0.15]
        one["dentition"]["crown_widths"] = [{"tooth": t, "width_mm": round(float(rng.normal(8.5, 0.5)), 2)} for t in (11, 21)]
        visits = sorted(START + timedelta(days=int(d)) for d in rng.integers(0, 60, size=rng.integers(1, 9)))
        one["appointments"] = [{"on": str(d), "reason": "review", "attended": bool(rng.random() < 0.85)} for d in visits]
        events, planned = [], []
        for a in range(int(rng.integers(0, 6))):
            planned.append({"id": f"A{a}", "tooth": [13, 14, 23, 24, 33, 43][a], "surface": "facial", "shape": "block", "from_tray": 1, "to_tray": 30})
            bonded = START + timedelta(days=int(rng.integers(0, 10)))
            events.append({"on": bonded, "event": "bonded", "a": a})
            if rng.random() < 0.5:
                events.append({"on": bonded + timedelta(days=int(rng.integers(1, 40))), "event": str(rng.choice(["debonded", "removed"])), "a": a})
        events.sort(key=lambda event: event["on"])
        one["attachment_events"] = [{"on": str(e["on"]), "series": 0, "attachment": f"A{e['a']}", "event": e["event"]} for e in events]
        one["series"][0]["attachments"] = planned
        moves, done = [], []
        for tooth in (13, 22, 33, 44)[: int(rng.integers(1, 5))]:
            turn, lift = round(float(rng.uniform(-1.8, 1.8)), 2), round(float(rng.uniform(-0.25, 0.25)), 2)
            moves.append({"tooth": tooth, "from_tray": 1, "to_tray": 30, "rotation_deg": turn * 3, "occlusal_mm": lift})
            moves[-1]["rotation_deg"] = round(moves[-1]["rotation_deg"], 2)
            share = float(rng.normal(0.6, 0.25))
            done.append({"tooth": tooth, "rotation_deg": round(moves[-1]["rotation_deg"] * share, 2), "occlusal_mm": round(lift * share, 2)})
        one["series"][0]["movements"] = moves
        one["series"][0]["achieved"] = {"on": str(START + timedelta(days=50)), "movements": done}
        records.append(one)
    return records


def age(one):
    """Years at the first tray, from the year of birth, to the hundredth."""
    start = day(one["wear_periods"][0]["from"])
    years = start.year + (start.month - 0.5) / 12 - one["patient"]["birth_year"] - 0.5
    return np.floor(years * 100 + 0.5) / 100


def order_statistics(values, p):
    values, n = sorted(values), len(values)
    low, high = st.binom.ppf(0.025, n, p), st.binom.ppf(0.975, n, p)
    return np.quantile(values, p), values[max(int(low) - 1, 0)], values[min(int(high), n - 1)]


def check_values(told, records):
    ages = [age(one) for one in records]
    for id, p in [("abasseri_2024_age", 0.5), ("abasseri_2024_age_q1", 0.25), ("abasseri_2024_age_q3", 0.75)]:
        interval(id, row(told, id), *order_statistics(ages, p))
    for ours, theirs in zip(measure(told, "age")["quantiles"], np.quantile(ages, [0.05, 0.25, 0.5, 0.75, 0.95])):
        same("quantiles of age", ours, theirs)
    spread = st.sem(ages)
    interval("mean age", row(told, "kravitz_2023_age"), np.mean(ages), *st.t.interval(0.95, len(ages) - 1, np.mean(ages), spread))
    same("sd of age", row(told, "castroflorio_2023_age_sd")["value"], np.std(ages, ddof=1))
    for sex in ("female", "male"):
        of = [one for one in records if one["patient"]["sex"] == sex]
        widths = [np.floor(round(sum(w["width_mm"] for w in one["dentition"]["crown_widths"]) * 100) / 2) / 100 for one in of]
        bounds = st.t.interval(0.95, len(widths) - 1, np.mean(widths), st.sem(widths))
        interval("crown width", row(told, f"moorrees_1957_upper_central_{sex}"), np.mean(widths), *bounds)


def check_shares(told, records):
    female = [one["patient"]["sex"] == "female" for one in records]
    bounds = proportion_confint(sum(female), len(female), method="wilson")
    interval("female", row(told, "timm_2021_female"), *[100 * x for x in (np.mean(female), *bounds)])
    grown = [(one, any(t % 10 != 8 for t in one["dentition"]["absent"])) for one in records if 14 <= age(one) < 30]
    cells = [[sum(gone and one["patient"]["sex"] == sex for one, gone in grown), sum(not gone and one["patient"]["sex"] == sex for one, gone in grown)]
             for sex in ("female", "male")]
    table = sm.stats.Table2x2(np.array(cells))
    interval("odds", row(told, "khalaf_2014_sex"), table.oddsratio, *table.oddsratio_confint(0.05))
    interval("ratio of shares", row(told, "polder_2004_sex"), table.riskratio, *table.riskratio_confint(0.05))


def check_difference(told, records):
    kept = {True: [], False: []}
    for one in records:
        if one["status"]["state"] in ("finished", "fixed"):
            end = day(one["status"]["since"])
            kept[one["prescription"]["follow_up"]["remote"]].append(sum(v["attended"] and day(v["on"]) <= end for v in one["appointments"]))
    compare = CompareMeans(DescrStatsW(kept[True]), DescrStatsW(kept[False]))
    bounds = compare.tconfint_diff(usevar="unequal")
    interval("visits", row(told, "lam_2023_visits"), np.mean(kept[True]) - np.mean(kept[False]), *bounds)


def ratio(above, below):
    """A ratio of sums with patients as clusters, by weighted least squares with heteroskedasticity-robust errors."""
    above, below = np.array(above, float), np.array(below, float)
    fit = sm.WLS(above / below, np.ones(len(above)), weights=below).fit(cov_type="HC1")
    half = st.t.ppf(0.975, len(above) - 1) * fit.bse[0]
    return fit.params[0], fit.params[0] - half, fit.params[0] + half


def check_pooled(told, records):
    missed = [(sum(not v["attended"] for v in one["appointments"]), len(one["appointments"])) for one in records if one["appointments"]]
    interval("no-show", row(told, "otago_2019_no_show"), *[100 * x for x in ratio(*zip(*missed))])
    sums, x, y, patients = [], [], [], []
    for i, one in enumerate(records):
        pairs = zip(one["series"][0]["movements"], one["series"][0]["achieved"]["movements"])
        turned = [(abs(p["rotation_deg"]), a["rotation_deg"] * np.sign(p["rotation_deg"])) for p, a in pairs if abs(p["rotation_deg"]) >= 2]
        if turned:
            sums.append((sum(a for _, a in turned), sum(p for p, _ in turned)))
        x += [p for p, _ in turned]
        y += [p - a for p, a in turned]
        patients += [i] * len(turned)
    interval("reached", row(told, "lombardo_2017_rotation"), *[100 * x for x in ratio(*zip(*sums))])
    fit = sm.OLS(y, sm.add_constant(x)).fit(cov_type="cluster", cov_kwds={"groups": patients, "use_correction": False})
    k = len(set(patients))
    half = st.t.ppf(0.975, k - 1) * fit.bse[1] * np.sqrt(k / (k - 1))
    interval("slope", row(told, "castroflorio_2023_slope"), fit.params[1], fit.params[1] - half, fit.params[1] + half)
    accuracy = defaultdict(list)
    for i, one in enumerate(records):
        for p, a in zip(one["series"][0]["movements"], one["series"][0]["achieved"]["movements"]):
            planned, achieved = round(p["occlusal_mm"] * 100), round(a["occlusal_mm"] * 100)
            # Front teeth: incisors and canines, as in the studies that the review repeats.
            if planned >= 20 and p["tooth"] % 10 <= 3:
                accuracy[i].append(100 - abs(planned - achieved) / planned * 100)
    means = [(sum(values), len(values)) for values in accuracy.values()]
    # Each movement is held to the hundredth of a percent.
    interval("accuracy of extrusion", row(told, "rossini_2015_extrusion"), *ratio(*zip(*means)), within=1e-3)


def aalen_johansen(durations, kinds):
    """The share with the event by each day that has one, other ends as ends (the estimator written out)."""
    free, share, shares = 1.0, 0.0, {}
    for day in sorted(set(durations)):
        left = sum(t >= day for t in durations)
        here = [k for t, k in zip(durations, kinds) if t == day]
        share += free * here.count(1) / left
        free *= 1 - sum(k > 0 for k in here) / left
        shares[day] = share
    return shares


def check_times(told, records):
    durations = [(day(one["status"]["since"]) - START).days if one["status"]["state"] != "active" else
                 (day(one["source"]["exported_at"][:10]) - START).days for one in records]
    kinds = [{"finished": 1, "active": 0}.get(one["status"]["state"], 2) for one in records]
    check_curve("finish", curve(told, "to_finish"), durations, [k == 1 for k in kinds])
    check_cumulative("finish", curve(told, "to_finish"), durations, kinds)
    durations, kinds = [], []
    for one in records:
        state = one["status"]["state"]
        until = day(one["source"]["exported_at"][:10]) if state == "active" else day(one["status"]["since"])
        for bonded in [e for e in one["attachment_events"] if e["event"] == "bonded"]:
            after = [e for e in one["attachment_events"] if e["attachment"] == bonded["attachment"] and e["event"] != "bonded"]
            durations.append(((day(after[0]["on"]) if after else until) - day(bonded["on"])).days)
            kinds.append({"debonded": 1, "removed": 2}[after[0]["event"]] if after else 0)
    check_curve("attachments", curve(told, "to_attachment_loss"), durations, [k == 1 for k in kinds])
    check_cumulative("attachments", curve(told, "to_attachment_loss"), durations, kinds)


def check_cumulative(what, told, durations, kinds):
    shares = aalen_johansen(durations, kinds)
    for step in told["steps"]:
        same(f"{what}, with, day {step['day']}", step["with"], shares[step["day"]])
    # lifelines moves ties apart at random, so that it agrees nearly only.
    fitter = lifelines.AalenJohansenFitter(seed=7, calculate_variance=False).fit(durations, kinds, event_of_interest=1)
    same(f"{what}, with, at the end", told["steps"][-1]["with"], fitter.cumulative_density_.iloc[-1, 0], within=0.02)


def demo():
    """Measures of the demo records, written anew here from the records' JSON."""
    records = [json.loads(line) for line in (root / "datasets/demo/quillmere.oar.jsonl").read_text(encoding="utf-8").splitlines()]
    told = report(records)
    over = [one for one in records if one["status"]["state"] in ("finished", "fixed") and one["wear_periods"]]
    days = [(day(one["status"]["since"]) - day(one["wear_periods"][0]["from"])).days for one in over]
    same("months", measure(told, "months")["value"], np.mean([round(d / 30.4375, 2) for d in days]))
    trays = [sum(max(s["trays"].values()) for s in one["series"]) for one in over]
    same("trays", measure(told, "trays_in_all")["value"], np.mean(trays))
    same("days to a tray", measure(told, "days_a_tray")["value"], sum(days) / sum(trays))
    same("refinements", measure(told, "refinements")["value"], np.mean([len(one["series"]) - 1 for one in over]))
    lost = [sum(e["event"] == "debonded" for e in one["attachment_events"]) for one in over if "attachment_events" in one]
    same("losses", measure(told, "attachments_lost")["value"], np.mean(lost))
    visits = [v["attended"] for one in records for v in one.get("appointments", [])]
    same("no-show", measure(told, "no_show")["value"], 1 - np.mean(visits))
    pain = [c["pain_0_10"] for one in records if one["wear_periods"] for c in one.get("comfort", []) if c["on"] == one["wear_periods"][0]["from"]]
    same("pain on the first day", measure(told, "pain_first_tray:01")["value"], np.mean(pain))
    durations, events = [], []
    for one in (one for one in records if one["wear_periods"]):
        start = day(one["wear_periods"][0]["from"])
        ended = one["status"]["state"] in ("finished", "fixed", "discontinued", "transferred")
        end = day(one["status"]["since"]) if ended else day(one["source"]["exported_at"][:10])
        scan = next((day(s["scanned_on"]) for s in one["series"] if s["number"] == 1), None)
        durations.append(((scan or end) - start).days)
        events.append(scan is not None)
    check_curve("refinement", curve(told, "to_first_refinement"), durations, events)


lifelines_datasets()
for seed in (1, 2):
    records = random_cohort(400, np.random.default_rng(seed))
    told = report(records)
    for check in (check_values, check_shares, check_difference, check_pooled, check_times):
        check(told, records)
demo()
card_schema = json.loads((root / "schema/v1/card.schema.json").read_text(encoding="utf-8"))
jsonschema.Draft202012Validator.check_schema(card_schema)
for card in sorted((root / "datasets/cohorts").glob("*.card.json")):
    jsonschema.Draft202012Validator(card_schema).validate(json.loads(card.read_text(encoding="utf-8")))
print(f"realism: {compared} numbers agree with lifelines, scipy, statsmodels and numpy")
assert compared > 1500

"""What tally.sql computes, in pandas. Argument: a folder of CSV files. Prints the seconds of five runs, and writes storms and rates beside."""
import json
import sys
import time

import numpy as np
import pandas as pd

H = 3600
STORM, RATE = ["run_s", "zone_id"], ["run_s", "route_id", "material_class", "form"]


def storms_of(t):
    o = t["observations"].merge(t["stations"], on="station_id").merge(t["zones"], on="zone_id").merge(t["present_wx_codes"], on="present_wx", how="left")
    for flag in ["is_frozen_any_temp", "is_frozen_cold", "is_cold_precip", "has_precip", "has_blowing_snow"]:
        o[flag] = o[flag].fillna(0).astype(bool)
    f = o.surface_f.fillna(o.air_f)
    amount = (o.precip_in > 0) | (o.precip_is_trace == 1)
    o["falls"] = o.is_frozen_any_temp | (o.is_frozen_cold & ((f <= 40) | f.isna())) | (o.is_cold_precip & (f <= 32)) | (~o.has_precip & amount & (f <= 34))
    o = o[o.falls | o.has_blowing_snow].sort_values("at_s", kind="stable")
    fell = o.at_s.where(o.falls).groupby(o.district_id).ffill()
    o = o[o.falls | (o.at_s - fell <= 6 * H)].copy()
    gap = o.groupby("district_id").at_s.diff()
    o["run_s"] = o.at_s.where(gap.isna() | (gap > 6 * H)).groupby(o.district_id).ffill().astype("int64")
    runs = o.groupby(["district_id", "run_s"]).at_s.agg(["min", "max", "nunique"])
    wet = o.groupby(["district_id", "run_s", "station_id"]).precip_in.sum().groupby(["district_id", "run_s"]).max()
    runs = runs[(runs["nunique"] > 1) | (wet >= 0.01)].reset_index()
    seen = o.groupby(["zone_id", "run_s"]).at_s.agg(began_s="min", ended_s="max").reset_index()
    s = runs.merge(t["zones"], on="district_id").merge(seen, on=["zone_id", "run_s"], how="left")
    s["began_s"], s["ended_s"] = s.began_s.fillna(s["min"]), s.ended_s.fillna(s["max"])
    return s[STORM + ["began_s", "ended_s"]]


def rates_of(t, storms):
    p = t["passes"].merge(t["routes"], on="route_id", suffixes=("", "_route")).merge(t["materials"], on="material_id", how="left")
    liquid = p.form == "liquid"
    p["treats"] = p.material_id.notna() & (p.dispensed_gal.where(liquid, p.dispensed_lb).fillna(1) != 0)
    miles = (p.to_mi - p.from_mi).abs().replace(0, np.nan).fillna((p.to_mi_route - p.from_mi_route).abs().where(p.from_mi.isna()))
    p["miles"] = p.lane_miles.fillna(miles * p.lanes.fillna(p.lanes_per_pass))
    p["applied_lb"] = (p.dispensed_gal * p.dry_lb_per_gal).where(liquid, p.dispensed_lb.fillna(p.rate_set_lb_per_lane_mi * p.miles))
    p["is_liquid"] = p.treats & liquid
    c = p.merge(storms, on="zone_id")
    c["until"], c["since"] = c.began_s - c.at_s, c.at_s - c.ended_s
    c = c[(c.until <= 48 * H) & (c.since <= 36 * H)].copy()
    c["named"] = ((c.purpose == "pretreat") & c.until.between(0, 48 * H)) | ((c.purpose == "cleanup") & c.since.between(0, 36 * H))
    c = c[c.named | ((c.until <= np.where(c.is_liquid, 48, 12) * H) & (c.since <= np.where(c.treats, 12, 36) * H))].copy()
    inside = ((c.until <= 0) & (c.since <= 0)).groupby(c.pass_key).transform("max")
    c["ahead"] = c.is_liquid & ~inside & (c.until > 0)
    c["distance"] = np.maximum(np.maximum(c.until, c.since), 0)
    c = c.sort_values(["named", "ahead", "distance", "began_s", "run_s"], ascending=[False, False, True, True, True]).drop_duplicates("pass_key")
    c = c[c.treats].rename(columns={"class": "material_class"})
    c["treated"], c["placed_lb"], c["measured"] = c.miles.fillna(0), c.applied_lb.where(c.miles.notna()), c.miles.where(c.applied_lb.notna())
    r = c.groupby(RATE).agg(passes=("pass_key", "size"), treated_lane_miles=("treated", "sum"), applied_lb=("applied_lb", "sum"), placed=("placed_lb", "sum"),
                            measured=("measured", "sum"), route=("lane_miles_route", "first")).reset_index()
    r["rate_lb_per_lane_mi"] = r.placed / r.measured
    r["storm_lb_per_lane_mi"], r["applications"] = r.applied_lb / r.route, r.treated_lane_miles / r.route
    return r[RATE + ["passes", "treated_lane_miles", "applied_lb", "rate_lb_per_lane_mi", "storm_lb_per_lane_mi", "applications"]]


def main(folder):
    names = ["observations", "stations", "zones", "present_wx_codes", "passes", "routes", "materials"]
    tables = {name: pd.read_csv(f"{folder}/{name}.csv") for name in names}
    seconds = []
    for _ in range(5):
        began = time.perf_counter()
        storms = storms_of(tables)
        rates = rates_of(tables, storms)
        seconds.append(time.perf_counter() - began)
    storms.to_csv(f"{folder}/pandas_storms.csv", index=False)
    rates.to_csv(f"{folder}/pandas_rates.csv", index=False)
    print(json.dumps(seconds))


main(sys.argv[1])

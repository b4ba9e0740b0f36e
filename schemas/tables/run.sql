-- run: the settings of this night, from district.toml.
-- grain:   one row
-- reads:   -
-- units:   _h hour; _min minute; _s second; _mph mile per hour; _lane_mi lane-mile; _pct percent;
--          _days day; _weeks week; _share, _margin, _tolerance share of 1
-- empty:   never: every setting has a default
-- formula: -
create or replace table run (
    time_zone varchar not null,
    storm_gap_h double not null,
    pretreat_h double not null,
    pretreat_liquid_h double not null,
    cleanup_h double not null,
    cleanup_plow_h double not null,
    round_gap_min double not null,
    wind_caution_mph double not null,
    early_min double not null,
    regain_cap_h double not null,
    pass_gap_min double not null,
    spread_gap_s double not null,
    match_min double not null,
    learning_min_lane_mi double not null,
    learning_min_rows double not null,
    learning_min_storms double not null,
    season_storms double not null,
    plan_storms double not null,
    plan_margin double not null,
    compare varchar not null,
    beside varchar not null,
    mixed_share double not null,
    unmeasured_share double not null,
    same_margin double not null,
    compare_min_storms double not null,
    bare_cap_h double not null,
    service_margin_pct double not null,
    not_bare_margin double not null,
    pounds_basis varchar not null,
    reconcile_weeks double not null,
    reconcile_tolerance double not null,
    density_min_tickets double not null,
    calibration_days double not null,
    outlook_draws double not null,
    last_storm_date varchar not null,
    lead_days double not null,
    stale_h double not null,
    stuck_h double not null,
    keep_releases double not null,
    keep_logs double not null,
    gate_drop_pct double not null,
    gate_quarantine_pct double not null,
    gate_rows_pct double not null,
    quarantine_listed double not null
);

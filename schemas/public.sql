-- What is not public of the tables that pages and public exports are made of. A block begins with
-- `-- TABLES: FIGURES` and gives the condition, over a table as t, under which a row lacks them.
-- FIGURES are columns, or those of which the contract of an export, or of the exports that a table
-- is parted into, says the words that begin with unless, or `rows`, which are left out whole. A
-- table without a block is public as it stands, and of an export what its contract calls public.

create or replace temp macro route_withheld(s, r) as exists (
    select 1 from withheld_parts as w where w.of_route and w.storm_id = s and w.route_id = r)

create or replace temp macro route_guarded(s, r) as exists (
    select 1 from withheld_parts as w
    where (w.of_route or w.is_protected) and w.storm_id = s and w.route_id = r)

create or replace temp macro sum_withheld(named, y, s, z, ws, r, c, m) as exists (
    select 1 from withheld_sums as w
    where w.part = named and w.season is not distinct from y and w.storm_id is not distinct from s
        and w.zone_id is not distinct from z and w.watershed is not distinct from ws
        and w.route_id is not distinct from r and w.crew_id is not distinct from c
        and w.material_class is not distinct from m)

create or replace temp macro compared_withheld(y, s, z) as exists (
    select 1 from withheld_sums as w
    where w.part = 'storm and zone' and w.storm_id = s and w.zone_id = z
        or w.part = 'season' and s is null and w.season = y)
    or exists (
        select 1 from withheld_parts as w
        where w.of_zone and w.storm_id = s and w.zone_id = z
            or w.of_comparison and s is null and w.season = y)

-- storm_routes: unless withheld
route_withheld(t.storm_id, t.route_id)

-- storm_routes: crew_ids
route_withheld(t.storm_id, t.route_id)
    or list_has_any(string_split(t.crew_ids, ';'), small_crews())

-- crew_storms: unless withheld
exists (
    select 1 from withheld_parts as w
    where w.of_crew and w.storm_id = t.storm_id and w.route_id = t.route_id
        and w.material_class = t.material_class and w.form = t.form and w.crew_id = t.crew_id)

-- learning_residuals: rate_lb_per_lane_mi fitted_rate_lb_per_lane_mi residual robust_deviations
exists (
    select 1 from withheld_parts as w
    where w.of_crew and w.storm_id = t.storm_id and w.route_id = t.route_id and w.form = 'solid'
        and w.crew_id = t.crew_id)

-- comparison comparison_storms: unless withheld
compared_withheld(t.season, t.storm_id, t.zone_id)

-- comparison_seasons: unless withheld
compared_withheld(t.season, null, null)

-- tallies: applied_lb rate_lb_per_lane_mi storm_lb_per_lane_mi applications
sum_withheld(t.part, t.season, t.storm_id, t.zone_id, t.watershed, t.route_id, t.crew_id,
    t.material_class)

-- tallies: weighed_rate_lb_per_lane_mi reported_rate_lb_per_lane_mi
sum_withheld(t.part, t.season, t.storm_id, t.zone_id, t.watershed, t.route_id, t.crew_id,
    t.material_class)
    or exists (
        select 1 from withheld_parts as w
        where w.of_weighed and w.season = t.season and (t.part <> 'season' or w.of_weighed_season)
            and w.material_class = coalesce(t.material_class, w.material_class)
            and w.storm_id = coalesce(t.storm_id, w.storm_id)
            and w.route_id = coalesce(t.route_id, w.route_id))

-- cost_sums: usd usd_per_lane_mi usd_per_treated_lane_mi
t.part = 'storm' and sum_withheld('cost of a storm', t.season, t.storm_id, null, null, null, null,
    t.material_class)
    or t.part = 'route' and sum_withheld('route', t.season, null, null, null, t.route_id, null,
        t.material_class)

-- season_costs: unless withheld
sum_withheld('cost of a season', t.season, null, null, null, null, null, t.material_class)

-- damage_assumptions: tons usd
exists (select 1 from withheld_sums as w where w.part = 'cost of a season' and w.season = t.season)

-- break_even: unless withheld
compared_withheld(t.season, null, null)

-- whole_seasons: usd budget_share
exists (select 1 from withheld_sums as w where w.part = 'cost of a season' and w.season = t.season)

-- whole_seasons: kept_off_lb
exists (select 1 from withheld_sums as w where w.part = 'pounds kept off' and w.season = t.season)

-- watershed_storms: unless withheld
sum_withheld('storm and watershed', t.season, t.storm_id, null, t.watershed, null, null, null)

-- watershed_storms: unless its bases are withheld
sum_withheld('pounds kept off', t.season, t.storm_id, null, t.watershed, null, null, null)

-- watershed_seasons: unless withheld
sum_withheld('season and watershed', t.season, null, null, t.watershed, null, null, null)

-- watershed_seasons: unless its bases are withheld
sum_withheld('pounds kept off', t.season, null, null, t.watershed, null, null, null)

-- reconciliation: unless withheld
exists (
    select 1 from withheld_sums as w
    inner join materials on materials.class = w.material_class
    where w.part = 'week' and w.week = t.week and materials.material_id = t.material_id)

-- storm_passes: truck_id crew_id lane_miles applied_lb
route_guarded(t.storm_id, t.route_id)

-- coverage coverage_spans timing timing_talk since_last_night: rows
route_withheld(t.storm_id, t.route_id)

-- storm_routes_corrected: rows
exists (
    select 1 from withheld_parts as w
    where (w.of_route or w.of_weighed) and w.storm_id = t.storm_id and w.route_id = t.route_id)

-- storm_reasons: rows
exists (
    select 1 from withheld_sums as w
    where w.part = 'route' and w.season = t.season and w.route_id = t.route_id)

-- findings: rows
exists (
    select 1 from withheld_parts as w
    left join storm_passes as p on p.storm_id = w.storm_id and p.route_id = w.route_id
    where (w.of_route or w.is_protected) and w.storm_id = t.storm_id
        and t.subject_id in (w.route_id, p.pass_key))

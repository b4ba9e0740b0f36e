-- solids: the solids that a route got in a storm, with its roads, weather and weighed pounds.
-- grain:   one row per storm_id, route_id, material_class
-- reads:   treatments, regains, routes, storms, storm_routes_corrected, season_dates
-- units:   _ulane_mi millionth of a lane-mile; _ulb millionth of a pound; regain_us millionth of a
--          second, capped; air_uf millionth of a degree Fahrenheit; surface_f_min degree Fahrenheit
-- empty:   as treatments, regains, routes and storms; weighed_placed_ulb where weighed loads give
--          no rate; third in the middle and where the class has fewer than three rated storms
-- formula: is_closed where no zone of the storm is open; third: the first or the latest third of
--          the season's closed storms in which the class has a rate, by their begin; is_to_date
--          where the storm began before the season's same_date_at
create or replace view solids as
with whole_storms as (
    select
        storm_id,
        min(season) as season,
        min(began_at) as began_at,
        not bool_or(is_open) as is_closed
    from storms
    group by storm_id
),
numbered as (
    select
        treatments.storm_id,
        treatments.material_class,
        row_number() over (
            partition by whole_storms.season, treatments.material_class
            order by whole_storms.began_at, treatments.storm_id
        ) as storm_no,
        count(*) over (partition by whole_storms.season, treatments.material_class) as storms
    from treatments
    inner join whole_storms using (storm_id)
    where treatments.form = 'solid' and whole_storms.is_closed
        and treatments.applied_ulb is not null and treatments.measured_ulane_mi > 0
    group by whole_storms.season, whole_storms.began_at, treatments.storm_id,
        treatments.material_class
)
select
    whole_storms.season,
    treatments.storm_id,
    treatments.zone_id,
    treatments.route_id,
    routes.watershed,
    treatments.material_class,
    treatments.route_ulane_mi,
    treatments.treated_ulane_mi,
    treatments.measured_ulane_mi,
    treatments.applied_ulb,
    treatments.unplaced_ulb,
    case
        when treatments.applied_ulb is not null then storm_routes_corrected.corrected_placed_ulb
    end as weighed_placed_ulb,
    regains.regain_state,
    cast(regains.capped_regain_h * 3.6e9 as bigint) as regain_us,
    regains.is_bare_in_cap,
    storms.began_at,
    storms.is_open,
    cast(storms.air_f_mean * 1e6 as bigint) as air_uf,
    storms.surface_f_min,
    whole_storms.is_closed,
    coalesce(whole_storms.began_at < season_dates.same_date_at, false) as is_to_date,
    case
        when numbered.storm_no <= numbered.storms // 3 then 'first'
        when numbered.storm_no > numbered.storms - numbered.storms // 3 then 'latest'
    end as third
from treatments
inner join storms using (storm_id, zone_id)
inner join whole_storms using (storm_id)
inner join season_dates on season_dates.season = whole_storms.season
left join routes using (route_id)
left join regains using (storm_id, route_id)
left join storm_routes_corrected using (storm_id, route_id, material_class, form)
left join numbered using (storm_id, material_class)
where treatments.form = 'solid';

package rows

import "time"

// PresentWx is a row of present_wx_codes: what falls under one text of present weather.
type PresentWx struct {
	PresentWx   string `db:"present_wx"`
	HasSnow     bool   `db:"has_snow"`
	HasFreezing bool   `db:"has_freezing"`
	HasSleet    bool   `db:"has_sleet"`
	HasRain     bool   `db:"has_rain"`
}

// WeatherEvent is a row of weather_events: a begin or an end that a report's remarks tell. What holds FM-15 letters.
type WeatherEvent struct {
	StationID string    `db:"station_id"`
	EventAt   time.Time `db:"event_at"`
	What      string    `db:"what"`
	IsBegin   bool      `db:"is_begin"`
}

// StormSeverity is a row of storm_severity: the classes of a storm in a zone, what they were read from, and its severity.
type StormSeverity struct {
	StormID      string   `db:"storm_id"`
	ZoneID       string   `db:"zone_id"`
	ST           string   `db:"st"`
	Ti           string   `db:"ti"`
	Wi           string   `db:"wi"`
	Bi           string   `db:"bi"`
	Tp           string   `db:"tp"`
	Wp           string   `db:"wp"`
	SnowIn       *float64 `db:"snow_in"`
	TiF          *float64 `db:"ti_f"`
	WiMph        *float64 `db:"wi_mph"`
	TpF          *float64 `db:"tp_f"`
	WpMph        *float64 `db:"wp_mph"`
	SeverityOnly *float64 `db:"severity_storm"`
	Severity     *float64 `db:"severity"`
}

// SeverityClass is a row of severity_classes: a number or a bound of the severity indexes, with its source.
type SeverityClass struct {
	Factor    string   `db:"factor"`
	Class     string   `db:"class"`
	Unit      string   `db:"unit"`
	FromValue *float64 `db:"from_value"`
	ToValue   *float64 `db:"to_value"`
	Value     *float64 `db:"value"`
	Source    string   `db:"source"`
	Note      string   `db:"note"`
}

// SeasonSeverity is a row of season_severity: points of a season's cold days in a zone, and plain exposures.
type SeasonSeverity struct {
	Season            string     `db:"season"`
	ZoneID            string     `db:"zone_id"`
	FirstDate         *time.Time `db:"first_date"`
	LastDate          *time.Time `db:"last_date"`
	DaysCounted       *int64     `db:"days_counted"`
	DaysLeftOut       *int64     `db:"days_left_out"`
	TemperaturePoints *float64   `db:"temperature_points"`
	SnowH             *float64   `db:"snow_h"`
	FreezingH         *float64   `db:"freezing_h"`
	WaterIn           *float64   `db:"water_in"`
	AirFMin           *float64   `db:"air_f_min"`
	SurfaceFMin       *float64   `db:"surface_f_min"`
	WindyH            *float64   `db:"windy_h"`
}

// StormCount is a row of storm_counts_by_gap: how many storms a season would have at another dry gap.
type StormCount struct {
	Season string `db:"season"`
	GapH   *int64 `db:"gap_h"`
	Storms *int64 `db:"storms"`
}

// FrostSum is a row of frost_sums: how often and how long pavement froze (Kind frost) or froze again (Kind refreeze) in a zone in a season.
type FrostSum struct {
	Season string   `db:"season"`
	ZoneID string   `db:"zone_id"`
	Kind   string   `db:"kind"`
	Spells int64    `db:"spells"`
	Hours  *float64 `db:"hours"`
}

// CrewFreezing is a row of crew_freezing: the freezing rain of a season's storms in the zones where a crew treated.
type CrewFreezing struct {
	Season string  `db:"season"`
	CrewID string  `db:"crew_id"`
	Storms int64   `db:"freezing_storms"`
	Hours  float64 `db:"freezing_h"`
}

// OutsideReason is a row of outside_reasons: a pass outside storms that fell in a spell of frost or refreezing.
type OutsideReason struct {
	PassKey string `db:"pass_key"`
	Kind    string `db:"kind"`
}

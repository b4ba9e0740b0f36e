package rows

import "time"

// Change is a row of since_last_night: a past figure that moved between the last release and this one, as text. Column storm stands for a
// storm
// that appeared or vanished, with its begin for a figure. Cause names the deliveries or reference tables behind it.
type Change struct {
	Export        string  `db:"export"`
	StormID       string  `db:"storm_id"`
	ZoneID        string  `db:"zone_id"`
	RouteID       string  `db:"route_id"`
	MaterialClass string  `db:"material_class"`
	Form          string  `db:"form"`
	Column        string  `db:"column"`
	Before        *string `db:"before"`
	After         *string `db:"after"`
	Cause         string  `db:"cause"`
}

// GateCause is a row of gate_causes: one reason why a night's figures may not take the place of the last. Its hash names it from night to
// night.
type GateCause struct {
	Hash    string `json:"hash" db:"hash"`
	Kind    string `json:"kind" db:"kind"`
	Subject string `json:"subject" db:"subject"`
	Found   string `json:"found" db:"found"`
	Remedy  string `json:"remedy" db:"remedy"`
}

// Acceptance is a row of accepted_gates: a cause that held a release up, and the reason for which a person let it pass.
type Acceptance struct {
	AcceptedAt time.Time `json:"accepted_at" db:"accepted_at"`
	Reason     string    `json:"reason" db:"reason"`
	GateCause
}

package club

// Ruling is a coach's word on whether a player has passed a drill's rung of the
// ladder. It stands over what streaks say from its day on, until the next ruling
// on the same player and drill.
type Ruling struct {
	ID       ID     `json:"id"`
	PlayerID ID     `json:"player_id"`
	DrillID  ID     `json:"drill_id"`
	CoachID  ID     `json:"coach_id"`
	Date     Date   `json:"date"`
	Passed   bool   `json:"passed"`
	Reason   string `json:"reason"`
}

// Check returns a *Problem where the ruling breaks a rule.
func (r Ruling) Check() error {
	if _, err := ParseDate(string(r.Date)); err != nil {
		return err
	}
	if r.Reason == "" {
		return problem("reason", "Say why: a ruling on the ladder needs its reason.")
	}
	return checkNote("reason", r.Reason)
}

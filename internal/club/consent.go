package club

// Consent says how a player's consent to being filmed stands on a day.
type Consent string

const (
	Given   Consent = "given"
	Missing Consent = "missing" // none on record, or not yet begun
	Over    Consent = "over"
)

// ConsentOn returns how the consent stands on a day.
func (p Player) ConsentOn(day Date) Consent {
	switch {
	case p.ConsentFrom == "" || day < p.ConsentFrom:
		return Missing
	case p.ConsentUntil != "" && day > p.ConsentUntil:
		return Over
	}
	return Given
}

// DueForDeletion reports whether the player's film and rows should be gone by a
// day.
func (p Player) DueForDeletion(day Date) bool { return p.DeleteAfter != "" && day > p.DeleteAfter }

func (p Player) checkConsent() error {
	for _, d := range []struct {
		field string
		date  Date
	}{{"consent_from", p.ConsentFrom}, {"consent_until", p.ConsentUntil}, {"delete_after", p.DeleteAfter}} {
		if d.date == "" {
			continue
		}
		if _, err := ParseDate(string(d.date)); err != nil {
			return problem(d.field, "%q is not a day: write it as year-month-day, for example 2026-03-14.", d.date)
		}
	}
	if p.ConsentUntil != "" && p.ConsentFrom == "" {
		return problem("consent_from", "Say from which day the consent holds, since it says until when.")
	}
	if p.ConsentUntil != "" && p.ConsentUntil < p.ConsentFrom {
		return problem("consent_until", "The consent ends before it begins: change one of the two days.")
	}
	return checkLength("consent_by", p.ConsentBy, MaxName)
}

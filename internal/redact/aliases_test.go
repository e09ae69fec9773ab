package redact_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"strokeledger/internal/club"
	"strokeledger/internal/redact"
)

// A direction mark before a name is no initial, and a name of nothing else has none.
func TestInitialsAreSeen(t *testing.T) {
	assert.Equal(t, map[club.ID]string{"a": "עק", "b": "Player", "c": "👩‍🎓R"},
		redact.Aliases([]club.Player{{ID: "a", Name: "\u202eעדי \u200fקמה"}, {ID: "b", Name: "\u200f\u202e"}, {ID: "c", Name: "👩‍🎓 Rowan"}}))
}

package club

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// requireProblem holds an error against the field that a rule names; "-" wants
// no error at all.
func requireProblem(t *testing.T, field string, err error, name string) {
	t.Helper()
	if field == "-" {
		require.NoError(t, err, name)
		return
	}
	p, ok := AsProblem(err)
	require.True(t, ok, "%s: %v", name, err)
	require.Equal(t, field, p.Field, name)
	require.Regexp(t, `^[A-Z"0-9][^\n]*\.$`, p.Say, name)
}

func TestProblemsAreFoundThroughWrapping(t *testing.T) {
	p, ok := AsProblem(fmt.Errorf("save: %w", problem("name", "The %s.", "sentence")))
	require.True(t, ok)
	require.Equal(t, &Problem{Field: "name", Say: "The sentence."}, p)
	_, ok = AsProblem(errors.New("other"))
	require.False(t, ok)
}

func TestNewIDsSortByTheTimeTheyWereMade(t *testing.T) {
	var ids []ID
	for range 1000 {
		ids = append(ids, NewID())
	}
	require.True(t, slices.IsSorted(ids))
	require.Len(t, slices.Compact(ids), 1000)
	// RFC 9562, section 5.7: version 7, variant 10.
	require.Regexp(t, `^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`, string(ids[0]))
}

func TestDates(t *testing.T) {
	for text, field := range map[string]string{
		"2026-03-14": "-", "2024-02-29": "-", "": "date", "2026-02-29": "date", "2026-13-01": "date",
		"14.3.2026": "date", "2026-3-4": "date", "2026-03-14T10:00": "date", " 2026-03-14": "date",
	} {
		d, err := ParseDate(text)
		requireProblem(t, field, err, text)
		if err == nil {
			require.Equal(t, Date(text), d)
		}
	}
	for _, c := range []struct {
		d, from, to Date
		want        bool
	}{
		{"2026-03-14", "", "", true}, {"2026-03-14", "2026-03-14", "2026-03-14", true},
		{"2026-03-14", "2026-03-15", "", false}, {"2026-03-14", "", "2026-03-13", false},
		{"2026-03-14", "2025-12-31", "2026-12-31", true}, {"2026-09-30", "2026-10-01", "", false},
	} {
		require.Equal(t, c.want, c.d.Between(c.from, c.to), c)
	}
}

func TestProblem(t *testing.T) {
	code, cause := errors.New("code"), errors.New("cause")
	p := &Problem{Code: code, Say: "Say.", Cause: cause}
	require.False(t, p.Entered())
	require.ErrorIs(t, p, code)
	require.ErrorIs(t, p, cause)
	require.Equal(t, "Say.", p.Error())
	entered := &Problem{Field: "name", Say: "Say."}
	require.True(t, entered.Entered())
	require.Empty(t, entered.Unwrap())
	got, told := AsProblem(fmt.Errorf("more: %w", p))
	require.True(t, told)
	require.Same(t, p, got)
	_, told = AsProblem(cause)
	require.False(t, told)
}

package main

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

type inner struct {
	Rows []string `json:"rows"`
}

type outer struct {
	inner
	Made  time.Time         `json:"made"`
	List  []inner           `json:"list"`
	One   *inner            `json:"one"`
	None  *inner            `json:"none"`
	Names map[string]string `json:"names"`
	Deep  [][]int           `json:"deep"`
	Next  *outer            `json:"next"`
}

// The page wants [] and {} where Go has nil, however deep, and null where there is
// no such thing; what others hold as well stays as it is.
func TestWhole(t *testing.T) {
	shared := []inner{{}, {Rows: []string{"a"}}}
	one := &inner{}
	in := outer{List: shared, One: one, Deep: [][]int{nil, {1}}, Next: &outer{}}
	text, err := json.Marshal(whole(in))
	require.NoError(t, err)
	require.JSONEq(t, `{"rows":[],"made":"0001-01-01T00:00:00Z","list":[{"rows":[]},{"rows":["a"]}],"one":{"rows":[]},"none":null,"names":{},"deep":[[],[1]],
		"next":{"rows":[],"made":"0001-01-01T00:00:00Z","list":[],"one":null,"none":null,"names":{},"deep":[],"next":null}}`, string(text))
	require.Nil(t, shared[0].Rows)
	require.Nil(t, one.Rows)
	require.Nil(t, in.Names)
	require.Equal(t, []string{}, whole([]string(nil)))
	require.Equal(t, 3, whole(3))
}

func TestAnswer(t *testing.T) {
	_, err := answer(func() ([]int, error) { panic("broken") })
	require.ErrorContains(t, err, "broken")
	out, err := answer(func() ([]int, error) { return nil, nil })
	require.NoError(t, err)
	require.NotNil(t, out)
}

package wall

import (
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/standard"
	"strokeledger/internal/store"
)

// A model picture shows what is drawn on its frame and the signs of its fault's marks there:
// no other fault's, and no text, in which anybody may be named.
func TestDrawnOn(t *testing.T) {
	sign := &club.Sign{Kind: club.Circle, X1: .4, Y1: .4, X2: .5, Y2: .5}
	led := store.Ledger{
		Drawings: []picture.Drawing{
			{ID: "here", First: 5, Last: 9, Kind: picture.Arrow}, {ID: "later", First: 8, Last: 9, Kind: picture.Arrow},
			{ID: "text", First: 5, Last: 9, Kind: picture.Text, Text: "Ines"},
		},
		Marks: []club.Mark{
			{ID: "own", FaultID: "f", Frame: 7, Sign: sign}, {ID: "another fault", FaultID: "g", Frame: 7, Sign: sign},
			{ID: "another frame", FaultID: "f", Frame: 6, Sign: sign}, {ID: "without", FaultID: "f", Frame: 7},
		},
	}
	var ids []club.ID
	for _, d := range drawnOn(led, standard.Model{FaultID: "f", Frame: 7}) {
		ids = append(ids, d.ID)
	}
	require.Equal(t, []club.ID{"here", "own"}, ids)
}

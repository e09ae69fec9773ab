package alike

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Names that a reader takes for one have one key, in every script; the pairs are checked
// against Unicode's own chart of the root collation, levels two and three.
func TestNamesThatReadAlike(t *testing.T) {
	names := New()
	for a, b := range map[string]string{
		"Léa": "lea", "Le\u0301a": "LEA", " Ana  Bo ": "ana bo", "Łukasz": "lukasz", "Øre": "ore", "straße": "STRASSE",
		"Ёлка": "елка", "άννα": "ΑΝΝΑ", "σας": "ΣΑΣ", "Nguyễn": "nguyen", "ｌｅａ": "Lea", "İlker": "ilker",
	} {
		require.Equal(t, names.Key(a), names.Key(b), "%s, %s", a, b)
	}
	for a, b := range map[string]string{"Lea": "Leo", "Ana": "Anna", "陈": "陳", "가": "나", "Anne-Marie": "Annemarie", "О": "O"} {
		require.NotEqual(t, names.Key(a), names.Key(b), "%s, %s", a, b)
	}
}

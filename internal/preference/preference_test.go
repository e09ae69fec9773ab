package preference

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestKeep(t *testing.T) {
	path := filepath.Join(t.TempDir(), "new", "preferences.json")
	f := In(path)
	require.Empty(t, f.All())
	require.NoError(t, f.Keep("keys", `{"undo":["F12"]}`))
	require.NoError(t, f.Keep("text", "125"))
	require.Equal(t, map[string]string{"keys": `{"undo":["F12"]}`, "text": "125"}, In(path).All())
	require.NoError(t, f.Keep("keys", ""))
	require.Equal(t, map[string]string{"text": "125"}, f.All())
}

func TestWhatIsNotOurs(t *testing.T) {
	for name, text := range map[string]string{"no JSON": "{", "a list": "[1]", "numbers": `{"a":1}`, "null": "null", "too large": strings.Repeat(" ", maxBytes+1)} {
		path := filepath.Join(t.TempDir(), "preferences.json")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		f := In(path)
		require.Empty(t, f.All(), name)
		require.NoError(t, f.Keep("text", "125"), name)
		require.Equal(t, map[string]string{"text": "125"}, f.All(), name)
		if name != "null" {
			kept, err := os.ReadFile(path + ".unreadable")
			require.NoError(t, err, name)
			require.Equal(t, text, string(kept), name)
		}
	}
	require.Error(t, In(filepath.Join("/dev/null", "preferences.json")).Keep("text", "125"))
}

func TestKeepAtOnce(t *testing.T) {
	f := In(filepath.Join(t.TempDir(), "preferences.json"))
	var all sync.WaitGroup
	for _, key := range strings.Split("abcdefgh", "") {
		all.Go(func() { require.NoError(t, f.Keep(key, key)) })
	}
	all.Wait()
	require.Len(t, f.All(), 8)
}

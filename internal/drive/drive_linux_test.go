package drive

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Numbers from linux/magic.h.
func TestNetworkDrivesAreKnownByTheirNumber(t *testing.T) {
	for name, c := range map[string]struct {
		magic    uint32
		noDevice bool
		want     bool
	}{
		"nfs": {0x6969, true, true}, "smb": {0x517b, true, true}, "cifs": {0xff534d42, true, true}, "smb2": {0xfe534d42, true, true},
		"shared by a virtual machine": {0x01021997, true, true}, "ceph": {0x00c36400, true, true},
		"folder of a helper": {0x65735546, true, true}, "stick read by a helper": {0x65735546, false, false},
		"ext4": {0xef53, false, false}, "tmpfs": {0x01021994, true, false}, "btrfs": {0x9123683e, true, false}, "exfat": {0x2011bab0, false, false},
	} {
		require.Equal(t, c.want, networkMagic(c.magic, c.noDevice), name)
	}
	require.False(t, OverNetwork(t.TempDir()))
}

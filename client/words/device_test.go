package words_test

import (
	"testing"
	"time"

	"ampwright/client/words"
	"ampwright/model"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

func TestKept(t *testing.T) {
	require.Equal(t, "on this device only", words.Kept(nil))
	require.Equal(t, "on garage laptop", words.Kept([]string{"garage laptop"}))
	require.Equal(t, "kept on 3 devices", words.Kept([]string{"garage laptop", "tablet"}))
}

func TestAlone(t *testing.T) {
	require.Equal(t, "no entry is on this device only", words.Alone(0, 0))
	require.Equal(t, "1 entry is on this device only, written 119 min ago", words.Alone(1, 2*time.Hour-time.Second))
	require.Equal(t, "3 entries are on this device only, the oldest written 2 h ago", words.Alone(3, 2*time.Hour))
	require.Empty(t, words.Lone(0, 0))
	require.Equal(t, "1 photo", words.Lone(1, 0))
	require.Equal(t, "2 photos and 1 file", words.Lone(2, 1))
	require.Equal(t, "3 files", words.Lone(0, 3))
	require.Equal(t, "47 h", words.Age(48*time.Hour-time.Second))
	require.Equal(t, "2 days", words.Age(48*time.Hour))
	require.Equal(t, "0 min", words.Age(-time.Hour), "a clock that is ahead")
}

func TestLacks(t *testing.T) {
	require.Equal(t, "holds all that is here", words.Lacks(0, 0))
	require.Equal(t, "1 entry here is not known to be there; holds entries of 1 device that are not here", words.Lacks(1, 1))
	require.Equal(t, "12 entries here are not known to be there; holds entries of 2 devices that are not here", words.Lacks(12, 2))
}

func TestRemarks(t *testing.T) {
	old := uuid.UUID{0: 0xab, 15: 1}
	c := words.Context{Devices: []model.Device{{Replica: old, Name: "old phone"}}}
	require.Empty(t, words.Remarks(c, model.Device{Name: "phone", Entries: 4}))
	d := model.Device{
		Was: old, Held: 1,
		Closed: &model.Closure{
			Fact:         model.Fact{Person: "Kim"},
			ReplicaClose: model.ReplicaClose{At: model.When{Unix: 1_795_000_000, Offset: 60}, Reason: "lost"}, Last: model.Head{Seq: 12},
		},
		Fork: &model.Fork{Number: 7, Heads: []model.Head{{Seq: 7, ID: model.ID{0xaa}}, {Seq: 19, ID: model.ID{0xbb}}}},
	}
	require.Equal(t, []string{
		"continues old phone under a new name",
		"struck off by Kim on 2026-11-18; reason: lost; its entries count up to number 12",
		"1 entry is held back and counts for nothing",
		"exists twice: its files were copied, or a backup put back, and both wrote on under one name; from entry no. 7 on there are 2 lines, which end in aa000000 (no. 7) and bb000000 (no. 19); all are kept; each copy takes a name of its own once it hears of the other",
	}, words.Remarks(c, d))
	d.Closed.Last, d.Held = model.Head{}, 3
	require.Contains(t, words.Remarks(c, d)[1], "none of its entries counts")
	require.Equal(t, "3 entries are held back and count for nothing", words.Remarks(c, d)[2])
}

// What became of a device under new names is said with it, and copies that bear one
// name are told apart.
func TestNewNames(t *testing.T) {
	old, a, b := uuid.UUID{0: 0xab, 15: 1}, uuid.UUID{0: 0xcd}, uuid.UUID{0: 0xef}
	c := words.Context{Devices: []model.Device{{Replica: old, Name: "laptop"}, {Replica: a, Name: "laptop", Was: old}}}
	require.Equal(t, []string{"goes on as laptop (cd000000)"}, words.Remarks(c, c.Devices[0]))
	require.Equal(t, []string{"continues laptop (ab000000) under a new name"}, words.Remarks(c, c.Devices[1]))
	c.Devices[0].Fork = &model.Fork{Number: 7, Heads: []model.Head{{Seq: 7}, {Seq: 9}}}
	require.Contains(t, words.Remarks(c, c.Devices[0])[0], "; all are kept; one copy goes on as laptop (cd000000), the other takes a name of its own once it hears of it")
	c.Devices = append(c.Devices, model.Device{Replica: b, Name: "attic", Was: old})
	require.Contains(t, words.Remarks(c, c.Devices[0])[0], "; all are kept; the copies go on as laptop (cd000000) and attic")
}

// What closes a device and what lets entries in have words of their own.
func TestDeviceEntries(t *testing.T) {
	phone := uuid.UUID{0: 0xab, 15: 1}
	c := words.Context{Devices: []model.Device{{Replica: phone, Name: "phone"}}}
	say := func(b model.Body) string { return words.Of(c, model.Entry{Body: b}).Full() }
	require.Equal(t, "device struck off: phone; its last entry that counts is aa000000; lost", say(&model.ReplicaClose{Replica: phone, Upto: model.ID{0xaa}, Reason: "lost"}))
	require.Equal(t, "device struck off: phone; none of its entries counts; lost", say(&model.ReplicaClose{Replica: phone, Reason: "lost"}))
	require.Equal(t, "let in: aa000000, bb000000; found", say(&model.ReplicaAdmit{Entries: []model.ID{{0xaa}, {0xbb}}, Reason: "found"}))
	require.Equal(t, "device: tablet, kept by Kim, continues phone under a new name", say(&model.Replica{Device: "tablet", Person: "Kim", Was: phone}))
}

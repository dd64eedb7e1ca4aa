package garage

import (
	"ampwright/model"
	"ampwright/server/backup"
	"ampwright/server/blobs"
	"ampwright/sync/keep"
)

// Backup writes all that the garage in dir holds to a file, as [backup.Save]
// says: the logbook as it is at one moment, and every blob that is there then. h
// is that garage's home: it may be open here, or in another process that goes on
// writing meanwhile. The second result names blobs that do not read and were
// left out.
func Backup(h Home, dir, path, program string) (backup.Header, []keep.BlobID, error) {
	log := keep.NewMemory()
	var head backup.Header
	err := h.Read(func(l *model.Logbook) error {
		var raws [][]byte
		if err := l.All(func(raw []byte) error {
			raws = append(raws, raw)
			return nil
		}); err != nil {
			return err
		}
		var seals []model.Seal
		for replica := range l.Vector() {
			seals = append(seals, l.Seals(replica)...)
		}
		return log.Append(raws, seals...)
	})
	if err != nil {
		return head, nil, err
	}
	device, err := ReadDevice(dir)
	if err != nil {
		return head, nil, err
	}
	head = backup.Header{Made: h.Now().UTC(), Program: program, Replica: device.Replica, Device: device.Name}
	return backup.Save(path, head, log, blobs.In(dir))
}

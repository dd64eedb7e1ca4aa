package backup

import (
	"bytes"
	"encoding/binary"

	"ampwright/model"
	"ampwright/sync/keep"

	"github.com/google/uuid"
)

const (
	sealSize = 16 + 8 + 16 + 64
	maxSeals = 4096 // in an item
)

func packSeals(seals []model.Seal) []byte {
	b := make([]byte, 0, sealSize*len(seals))
	for _, s := range seals {
		b = append(b, s.Replica[:]...)
		b = binary.BigEndian.AppendUint64(b, s.Head.Seq)
		b = append(b, s.Head.ID[:]...)
		b = append(b, s.Sig[:]...)
	}
	return b
}

// seals reads an item of seals, which come after those before.
func (r *reader) seals(check *model.SealCheck, before []model.Seal) (seals []model.Seal, err error) {
	_, b, err := r.sized(0, sealSize*maxSeals)
	if err != nil {
		return nil, err
	}
	if len(b) == 0 || len(b)%sealSize != 0 {
		return nil, damaged("seals of %d bytes, want %d for each", len(b), sealSize)
	}
	var last keep.Key
	if len(before) > 0 {
		last = keep.SealKey(before[len(before)-1])
	}
	for ; len(b) > 0; b = b[sealSize:] {
		s := model.Seal{Replica: uuid.UUID(b[:16]), Head: model.Head{Seq: binary.BigEndian.Uint64(b[16:24]), ID: model.ID(b[24:40])}}
		copy(s.Sig[:], b[40:])
		if err := check.Check(s); err != nil {
			return nil, damage{err}
		}
		key := keep.SealKey(s)
		if bytes.Compare(last[:], key[:]) >= 0 {
			return nil, damaged("the seal of entry %d of replica %s is there twice or out of order", s.Head.Seq, s.Replica)
		}
		last = key
		seals = append(seals, s)
	}
	return seals, nil
}

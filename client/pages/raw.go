package pages

import (
	"bytes"
	"encoding/hex"
	"errors"
	"fmt"

	"ampwright/model"
)

// maxRaw bounds a kept file that a page hands out: it is made in memory.
const maxRaw = 64 << 20

// rawLink is where a file is that was kept when it was brought in.
func (v *visit) rawLink(s model.Bring) string {
	if v.cfg.Raw == nil || len(s.Pieces) == 0 {
		return ""
	}
	return v.rawHref(hex.EncodeToString(s.Hash))
}

func (v *visit) rawHref(hash string) string { return v.at() + "/export/raw-" + hash + ".bin" }

// raw answers with a file that was kept, byte for byte.
func (v *visit) raw(hash string) (Response, error) {
	for _, s := range v.b.Brought {
		if hex.EncodeToString(s.Hash) != hash || len(s.Pieces) == 0 {
			continue
		}
		out := bounded{}
		if err := v.cfg.Raw(s.Bring, &out); err != nil {
			return Response{}, missing("%s cannot be handed out here: %v; on the laptop, try ampwright export --raw %.8s", s.File, err, hash)
		}
		return Response{Status: statusOK, Type: "application/octet-stream", Name: s.File, Body: out.Bytes()}, nil
	}
	return Response{}, missing("no file of the SHA-256 %s is kept", hash)
}

// A bounded buffer takes at most maxRaw bytes.
type bounded struct{ bytes.Buffer }

var errLarge = errors.New("it is larger than " + fmt.Sprint(maxRaw>>20) + " MB")

func (b *bounded) Write(p []byte) (int, error) {
	if b.Len()+len(p) > maxRaw {
		return 0, errLarge
	}
	return b.Buffer.Write(p)
}

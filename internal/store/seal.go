package store

import (
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"fmt"
)

// changedSinceKept says that a row is not what was kept.
const changedSinceKept = "it was changed after it was kept: its digest does not match; velamen verify lists what is damaged, and velamen restore brings back a backup"

// seal is the SHA-256 of the cells of a row of a kind, each with its length, so
// that no two rows read alike. A digest is made from the cells as they are
// written and compared with those that are read.
func seal(kind string, cells ...any) []byte {
	text := make([]byte, 0, 256)
	number := func(n int64) { text = binary.AppendVarint(append(text, 'n'), n) }
	words := func(s string) { text = append(binary.AppendUvarint(append(text, 't'), uint64(len(s))), s...) }
	words(kind)
	for _, cell := range cells {
		switch v := cell.(type) {
		case nil:
			text = append(text, '-')
		case sql.NullInt64:
			if v.Valid {
				number(v.Int64)
			} else {
				text = append(text, '-')
			}
		case bool:
			n := int64(0)
			if v {
				n = 1
			}
			number(n)
		case int:
			number(int64(v))
		case int64:
			number(v)
		case string:
			words(v)
		case []byte:
			words(string(v))
		default:
			panic(fmt.Sprintf("a cell of type %T has no digest", cell)) // a mistake in this package
		}
	}
	sum := sha256.Sum256(text)
	return sum[:]
}

// shortSeal is the beginning of a seal, for rows that are small and can be made
// again.
func shortSeal(kind string, cells ...any) int64 {
	return int64(binary.BigEndian.Uint64(seal(kind, cells...)))
}

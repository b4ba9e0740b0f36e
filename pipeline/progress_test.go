package pipeline

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestNoProgressWhereWordsArePiped(t *testing.T) {
	n := &night{NightlyOptions: NightlyOptions{Words: new(strings.Builder), Clock: time.Now}}
	assert.Nil(t, n.crumbProgress())
}

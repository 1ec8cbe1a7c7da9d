package signature

import (
	"crypto/sha256"
	"strings"
)

// Words are twelve plain words that stand for the key, to be read out on a
// recording and compared by ear: the first 96 bits of the SHA-256 of the bare
// key, a word a byte. To make another key with the same words costs about 2^96
// trials.
func (p Public) Words() []string {
	sum := sha256.Sum256(p.ed25519Key())
	out := make([]string, 12)
	for i := range out {
		out[i] = wordList[sum[i]]
	}
	return out
}

// wordList has a word for each byte, of four to seven letters, no two of which
// begin with the same four.
var wordList = strings.Fields(words)

const words = `
acorn actor adobe album alder almond amber anchor animal apple apron arctic arrow aspen atlas autumn bacon
badge bagel bamboo banjo barley basket beacon beetle bell berry bicycle birch blanket boat bonnet bottle
branch brick bridge bronze bucket butter cabin cactus camel candle canoe carpet castle cedar cello chalk
cherry chimney circle citrus clay clover coal cobalt comet copper coral cotton cradle crayon cricket crown
crystal cymbal daisy dance dawn delta desert diamond dolphin donkey dragon drum duck eagle earth easel echo
elbow ember engine falcon feather fennel ferry fiddle finger flame flute forest fossil garden garlic ginger
giraffe glacier glove goat gold grape gravel guitar hammer harbor harvest hazel helmet heron hill honey
hornet horse iceberg igloo indigo iron island ivory jacket jaguar jasmine jelly jewel jigsaw jungle juniper
kayak kettle kitchen kite ladder lagoon lantern lemon leopard letter lilac lily linen lizard lobster locket
lotus magnet mango maple marble meadow melon metal mirror mitten monkey moon mosaic napkin needle nickel
night north nutmeg oasis ocean olive onion opal orange orbit orchid otter oven oyster paddle palace panda
paper parrot pebble pencil pepper piano pigeon pillow pine planet plum pocket pony poppy potato prairie
pumpkin puzzle quartz quill rabbit radish raven ribbon river robin rocket rose ruby saddle salmon sand scarf
seal shadow shell silver spider spoon spruce square squid stable star stone summer sunset table tango temple
thunder tiger timber tomato tower train trumpet tulip turtle valley vanilla velvet village violin volcano
wagon walnut walrus water whale wheat willow window winter wizard wolf yacht`

// What travels compressed is unpacked here and now: whoever prints the page as soon as it is there, finds its
// charts drawn. DEFLATE as in RFC 1951, within the two bytes and the checksum of a zlib stream, as base64.
const unpack = (function () {
  const more = (base, extra) => extra.map((bits) => [(base += 1 << bits) - (1 << bits), bits]);
  const copies = [...more(3, [0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3, 4, 4, 4, 4, 5, 5, 5, 5]), [258, 0]];
  const ways = more(1, [0, 0, ...Array.from({ length: 28 }, (_, at) => at >> 1)]);
  const order = [16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15];
  const usual = [...Array(144).fill(8), ...Array(112).fill(9), ...Array(24).fill(7), ...Array(8).fill(8)];

  // A code by the lengths of its words: for each fifteen bits ahead, the symbol with which they begin, and its length.
  function code(lengths) {
    const counts = new Uint16Array(16), found = new Uint16Array(1 << 15);
    for (const length of lengths) { counts[length] += 1; }
    for (let length = 1, word = 0; length < 16; length += 1, word <<= 1) {
      if (!counts[length]) { continue; }
      lengths.forEach(function (own, symbol) {
        if (own !== length) { return; }
        let turned = 0;  // words stand in the stream with their first bit lowest
        for (let bit = 0; bit < length; bit += 1) { turned |= (word >> bit & 1) << (length - 1 - bit); }
        for (; turned < found.length; turned += 1 << length) { found[turned] = symbol << 4 | length; }
        word += 1;
      });
    }
    return found;
  }

  return function (text) {
    const packed = atob(text);
    let out = new Uint8Array(packed.length * 4);
    let size = 0, at = 2, hold = 0, held = 0;
    function ahead(count) {
      while (held < count) { hold |= packed.charCodeAt(at) << held; at += 1; held += 8; }
      return hold & ((1 << count) - 1);
    }
    function pass(count) { hold >>>= count; held -= count; }
    function bits(count) {
      const value = ahead(count);
      pass(count);
      return value;
    }
    function symbol(words) {
      const found = words[ahead(15)];
      pass(found & 15);
      return found >> 4;
    }
    function put(byte) {
      if (size === out.length) { const longer = new Uint8Array(size * 2); longer.set(out); out = longer; }
      out[size] = byte;
      size += 1;
    }
    function codes() {
      const letters = bits(5) + 257, distances = bits(5) + 1, count = bits(4) + 4;
      const own = Array(19).fill(0);
      for (let one = 0; one < count; one += 1) { own[order[one]] = bits(3); }
      const inner = code(own), lengths = [];
      while (lengths.length < letters + distances) {
        const found = symbol(inner);
        if (found < 16) { lengths.push(found); continue; }
        const repeated = found === 16 ? lengths[lengths.length - 1] : 0;
        const times = found === 16 ? 3 + bits(2) : found === 17 ? 3 + bits(3) : 11 + bits(7);
        for (let one = 0; one < times; one += 1) { lengths.push(repeated); }
      }
      return [code(lengths.slice(0, letters)), code(lengths.slice(letters))];
    }
    for (let last = 0; !last;) {
      last = bits(1);
      const kind = bits(2);
      if (kind === 0) {
        at -= held >> 3;  // whole bytes that were read ahead
        hold = held = 0;
        const length = packed.charCodeAt(at) | packed.charCodeAt(at + 1) << 8;
        at += 4;
        for (let one = 0; one < length; one += 1) { put(packed.charCodeAt(at)); at += 1; }
        continue;
      }
      const [letters, distances] = kind === 1 ? [code(usual), code(Array(30).fill(5))] : codes();
      for (let found = symbol(letters); found !== 256; found = symbol(letters)) {
        if (found < 256) { put(found); continue; }
        const [least, extra] = copies[found - 257];
        const length = least + bits(extra);
        const [nearest, further] = ways[symbol(distances)];
        const back = nearest + bits(further);
        for (let one = 0; one < length; one += 1) { put(out[size - back]); }
      }
    }
    return new TextDecoder().decode(out.subarray(0, size));
  };
})();

// The program as it is sent, put together again: a WebAssembly module, see
// cmd/dev/squeeze/pack.go, which says what stands where. It is in this form since
// a compressor makes a fifth less of it. What is cut short is an error.
"use strict";

const unpack = (packed) => {
	let at = 0;
	const number = () => {
		let n = 0, by = 1;
		for (;; by *= 128) {
			const b = packed[at++];
			n += (b & 127) * by;
			if (!(b > 127)) return n;
		}
	};
	const module = new Uint8Array(number()), before = number(), functions = number();
	const lengths = Array.from({ length: 26 }, number); // of the streams
	let next = at;
	const place = lengths.map((n) => (next += n) - n); // of the next byte in each stream
	if (next !== packed.length) throw new Error(`the program is ${packed.length} bytes, and should be ${next}`);
	const [outside, opcodes, localsOf, resumes, callees, locals, offsetsSP, offsetsOf, offsetsTo, offsets, constants, branches, tableLengths, tables, others, columns] = place.keys();
	const longConstants = columns + 10;

	let out = 0;
	const copy = (stream, n) => {
		module.set(packed.subarray(place[stream], place[stream] + n), out);
		place[stream] += n;
		out += n;
	};
	const copyNumber = (stream) => {
		let p = place[stream];
		while (packed[p] > 127) module[out++] = packed[p++];
		module[out++] = packed[p++];
		place[stream] = p;
	};
	const take = (stream) => {
		at = place[stream];
		const n = number();
		place[stream] = at;
		return n;
	};
	const takeSigned = (stream) => {
		const from = place[stream], n = take(stream), bits = 7 * (place[stream] - from);
		return n >= 2 ** (bits - 1) ? n - 2 ** bits : n;
	};
	const emitNumber = (n) => {
		for (; n > 127; n = Math.floor(n / 128)) module[out++] = (n % 128) | 128;
		module[out++] = n;
	};
	const emitSigned = (n) => {
		for (; n > 63 || n < -64; n >>= 7) module[out++] = (n & 127) | 128;
		module[out++] = n & 127;
	};
	const natural = [2, 3, 2, 3, 0, 0, 1, 1, 0, 0, 1, 1, 2, 2, 2, 3, 2, 3, 0, 1, 0, 1, 2];
	const callBegins = [0x20, 1, 0x41, 8, 0x6b, 0x22, 1, 0x24, 0, 0x20, 1, 0x42], callGoesOn = [0x84, 0x37, 3, 0, 0x41, 0, 0x10], callEnds = [0x23, 0, 0x21, 1, 0x04, 0x40, 0x41, 1, 0x0f, 0x0b];

	const func = () => {
		let own = 0, depth = 1, resume = 0, ofSP = false;
		const groups = take(localsOf);
		emitNumber(groups);
		for (let i = 0; i < groups; i++) {
			const n = take(localsOf);
			own += n;
			emitNumber(n);
			copy(localsOf, 1);
		}
		while (depth > 0) {
			const op = packed[place[opcodes]++], wasSP = ofSP;
			ofSP = op === 0xe2;
			if (op === 0xe0 || op === 0xe1) {
				resume += take(resumes);
				for (let i = 0; i < 12; i++) module[out++] = callBegins[i];
				emitSigned(resume);
				module[out++] = 0x20;
				emitNumber(own);
				for (let i = 0; i < 7; i++) module[out++] = callGoesOn[i];
				copyNumber(callees);
				for (let i = 0; i < 10; i++) module[out++] = callEnds[i];
				if (op === 0xe0) {
					module[out++] = 0x0b;
					depth--;
				}
				continue;
			}
			if (op === 0xe2) {
				module[out++] = 0x20;
				module[out++] = 1;
				continue;
			}
			if (op >= 0xe3 && op <= 0xe5 || op === 0x42) {
				const n = op === 0x42 ? 1 : op - 0xe1, first = columns + (n * (n - 1)) / 2;
				module[out++] = 0x42;
				for (let i = 0; i < n; i++) module[out++] = packed[place[first + i]++];
				continue;
			}
			if (op === 0xe7) {
				copy(others, take(others));
				continue;
			}
			module[out++] = op === 0xe6 ? 0x42 : op;
			if (op >= 0x45 && op <= 0xc4) continue; // no operand
			switch (op) {
				case 0x20: case 0x21: case 0x22: copyNumber(locals); break;
				case 0x29: module[out++] = 3; copyNumber(wasSP ? offsetsSP : offsetsOf); break;
				case 0x37: module[out++] = 3; copyNumber(offsetsTo); break;
				case 0x41: copyNumber(constants); break;
				case 0xe6: copyNumber(longConstants); break;
				case 0x0c: case 0x0d: copyNumber(branches); break;
				case 0x10: copyNumber(callees); break;
				case 0x0b: depth--; break;
				case 0x02: case 0x03: case 0x04: copy(others, 1); depth++; break;
				case 0x0e: {
					const n = take(tableLengths);
					emitNumber(n);
					for (let i = 0, to = 0; i <= n; i++) emitNumber(to += takeSigned(tables));
					break;
				}
				case 0x11: copyNumber(others); copyNumber(others); break;
				case 0x23: case 0x24: case 0x3f: case 0x40: copyNumber(others); break;
				case 0x43: copy(others, 4); break;
				case 0x44: copy(others, 8); break;
				case 0xfc: {
					const kind = packed[place[others]];
					copyNumber(others);
					copy(others, kind === 10 ? 2 : kind === 11 ? 1 : 0);
					break;
				}
				default:
					if (op >= 0x28 && op <= 0x3e) {
						module[out++] = natural[op - 0x28];
						copyNumber(offsets);
					}
			}
		}
	};

	copy(outside, before);
	emitNumber(functions);
	for (let i = 0; i < functions; i++) {
		const began = out;
		out += 5; // room for its size
		func();
		const size = out - began - 5;
		out = began;
		emitNumber(size);
		module.copyWithin(out, began + 5, began + 5 + size);
		out += size;
	}
	copy(outside, module.length - out);
	return module;
};

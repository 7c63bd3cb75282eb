// Reads quantities as they are typed: "0.8", "0,8", "820 µS", "2 in". The rules
// are those by which the server reads the same fields; both are checked against
// one list of examples.

const most = 9; // digits: more than any measurement has

// read returns the value in the unit that is kept, or throws an Error whose
// message is for the person who typed.
export function read(text, measure) {
  const { number, rest } = leadingNumber(text, measure);
  const symbol = rest || measure.usual;
  const writing = writingOf(symbol, measure);
  if (!writing && fold(symbol) === "ppm" && writingOf("ppm500", measure)) {
    throw new Error("Meters make ppm in three ways; write ppm (500), ppm (640) or ppm (700), as yours does.");
  }
  if (!writing) throw new Error(`The unit “${symbol}” does not fit here; write it as in ${measure.example}.`);
  const value = (number - (writing.zero ?? 0)) * writing.factor;
  if (!(value >= measure.low && value <= measure.high)) {
    throw new Error(`${text} cannot be right: ${measure.what} is between ${shown(measure.low, writing)} and ${shown(measure.high, writing)}.`);
  }
  return value;
}

function leadingNumber(text, measure) {
  let rest = text.trim();
  const sign = /^[-−–+]/u.exec(rest)?.[0] ?? "";
  rest = rest.slice(sign.length);
  const whole = /^[0-9]*/.exec(rest)[0];
  rest = rest.slice(whole.length);
  const fraction = /^([.,])([0-9]+)/.exec(rest);
  const decimals = fraction?.[2] ?? "";
  if (fraction) rest = rest.slice(fraction[0].length);
  if (!whole && !decimals) throw new Error(`“${text}” is not a number; write it as in ${measure.example}.`);
  if (whole.length > most || decimals.length > most) throw new Error("That is more digits than any measurement has.");
  if (fraction?.[1] === "," && decimals.length === 3 && /[1-9]/.test(whole)) {
    throw new Error(`This can be read as ${whole}${decimals} or as ${whole}.${decimals}; write one of these.`);
  }
  if (/^[ \u00a0\u202f'’.,][0-9]/u.test(rest)) throw new Error("Write the number without anything between the thousands.");
  const number = Number(`0${whole}.${decimals}0`);
  return { number: sign && sign !== "+" ? -number : number, rest: rest.trim() };
}

function writingOf(symbol, measure) {
  const folded = fold(symbol);
  return measure.writings.find((w) => fold(w.symbol) === folded || (w.also ?? "").split(" ").includes(folded));
}

// fold brings the ways of writing a unit together.
function fold(symbol) {
  return symbol.toLowerCase()
    .replace(/[ \u00a0°º()]/gu, "")
    .replaceAll("℃", "c").replaceAll("℉", "f")
    .replace(/[µμ]/gu, "u")
    .replaceAll("²", "2").replaceAll("₃", "3")
    .replace(/["″]/gu, "in");
}

function shown(value, writing) {
  const text = String(Number((value / writing.factor + (writing.zero ?? 0)).toPrecision(5)));
  return `${text} ${writing.symbol}`.replace("-", "−");
}

import { describe, expect, it } from "vitest";
import { finds, likeness } from "./alike";

describe("texts that read alike", () => {
  it.each([
    ["lea", "Léa"],
    ["LEA", "le\u0301a"],
    ["Łukasz", "lukasz"],
    ["Øre", "ore"],
    ["straße", "STRASSE"],
    ["Ægir", "aegir"],
    ["aegir", "Ægir"],
    ["Ёлка", "елка"],
    ["Άννα Ζέρβας", "αννα ζερβασ"],
    ["أحمد", "احمد"],
    ["Nguyễn", "nguyen"],
    ["ｌｅａ", "lea"],
    ["İlker", "ilker"],
    [" Ana  Bo ", "ana bo"],
  ])("%s is %s", (a, b) => {
    expect(likeness(a)).toBe(likeness(b));
  });

  it.each([
    ["Lea", "Leo"],
    ["陈", "陳"],
    ["가", "나"],
    ["Anna", "Ana"],
    ["О", "O"], // Cyrillic and Latin
  ])("%s is not %s", (a, b) => {
    expect(likeness(a)).not.toBe(likeness(b));
  });

  it("is found by its words in any order, and by their beginnings", () => {
    expect(finds("mart le", "Léa Martín · U12")).toBe(true);
    expect(finds("lea x", "Léa Martín")).toBe(false);
    expect(finds("", "anything")).toBe(true);
    expect(finds("하", "한소희")).toBe(true);
  });
});

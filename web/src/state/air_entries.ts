// SPDX-License-Identifier: Apache-2.0
// What is typed for the check in the air, beside what it shares with the other views.

export interface AirEntries {
  north: "variation" | "place";
  variation: string;
  tracks: "" | "magnetic";
  shown: "" | "true";
  airLimit: string;
  airBasis: string;
  variationSigma: string;
  sideslip: string;
  headingSigma: string;
  rounding: string;
  trackSigma: string;
  speedSigma: string;
  airspeedSigma: string;
  windSigma: string;
  windChange: string;
  tasSigma: string;
  leastLeg: string;
  configuration: string;
  planTas: string;
  planMinutes: string;
  planWindFrom: string;
  planWind: string;
  planLeg: string;
}

export const blankAir: AirEntries = {
  north: "variation", variation: "", tracks: "", shown: "", airLimit: "", airBasis: "", variationSigma: "", sideslip: "",
  headingSigma: "", rounding: "", trackSigma: "", speedSigma: "", airspeedSigma: "", windSigma: "", windChange: "",
  tasSigma: "", leastLeg: "", configuration: "",
  planTas: "", planMinutes: "", planWindFrom: "", planWind: "", planLeg: "",
};

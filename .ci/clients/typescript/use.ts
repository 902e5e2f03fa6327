// Uses the generated client: lists the grands that the workshop owns.
import createClient from "openapi-fetch";
import type { paths } from "./client.gen.js";

export async function list(baseUrl: string, token: string): Promise<void> {
  const client = createClient<paths>({ baseUrl, headers: { Authorization: `Bearer ${token}` } });
  const { data, error } = await client.GET("/v1/instruments", { params: { query: { kind: "grand", owner: "stock" } } });
  if (error !== undefined) {
    throw new Error(error.detail);
  }
  for (const i of data.items) {
    console.log(`${i.maker}, ${i.size_mm} mm, ${i.state}`);
  }
}

declare const process: { argv: string[]; env: Record<string, string | undefined> };
await list(process.env["BENTSIDE_URL"] ?? "", process.env["BENTSIDE_TOKEN"] ?? "");

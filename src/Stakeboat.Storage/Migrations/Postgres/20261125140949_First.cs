using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace Stakeboat.Storage.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class First : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "courses",
                columns: table => new
                {
                    Id = table.Column<string>(type: "text", nullable: false),
                    Name = table.Column<string>(type: "text", nullable: false),
                    Length = table.Column<double>(type: "double precision", nullable: false),
                    LaneWidth = table.Column<double>(type: "double precision", nullable: false),
                    Marks = table.Column<string>(type: "text", nullable: false),
                    Archived = table.Column<bool>(type: "boolean", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_courses", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "hulls",
                columns: table => new
                {
                    Id = table.Column<string>(type: "text", nullable: false),
                    Name = table.Column<string>(type: "text", nullable: false),
                    Boat = table.Column<string>(type: "text", nullable: false),
                    Length = table.Column<double>(type: "double precision", nullable: false),
                    BowSeat = table.Column<double>(type: "double precision", nullable: false),
                    SeatSpacing = table.Column<double>(type: "double precision", nullable: false),
                    Seats = table.Column<int>(type: "integer", nullable: false),
                    Cox = table.Column<double>(type: "double precision", nullable: true),
                    Archived = table.Column<bool>(type: "boolean", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_hulls", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "people",
                columns: table => new
                {
                    Id = table.Column<string>(type: "text", nullable: false),
                    Name = table.Column<string>(type: "text", nullable: false),
                    Mass = table.Column<double>(type: "double precision", nullable: true),
                    Archived = table.Column<bool>(type: "boolean", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_people", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "settings",
                columns: table => new
                {
                    Name = table.Column<string>(type: "text", nullable: false),
                    Value = table.Column<string>(type: "text", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_settings", x => x.Name);
                });

            migrationBuilder.CreateTable(
                name: "crews",
                columns: table => new
                {
                    Id = table.Column<string>(type: "text", nullable: false),
                    Name = table.Column<string>(type: "text", nullable: false),
                    Boat = table.Column<string>(type: "text", nullable: false),
                    HullId = table.Column<string>(type: "text", nullable: true),
                    Words = table.Column<string>(type: "text", nullable: false),
                    Archived = table.Column<bool>(type: "boolean", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_crews", x => x.Id);
                    table.ForeignKey(
                        name: "FK_crews_hulls_HullId",
                        column: x => x.HullId,
                        principalTable: "hulls",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.SetNull);
                });

            migrationBuilder.CreateTable(
                name: "outings",
                columns: table => new
                {
                    Id = table.Column<string>(type: "text", nullable: false),
                    Name = table.Column<string>(type: "text", nullable: false),
                    Day = table.Column<string>(type: "text", nullable: true),
                    CreatedAt = table.Column<long>(type: "bigint", nullable: false),
                    Archived = table.Column<bool>(type: "boolean", nullable: false),
                    Demo = table.Column<bool>(type: "boolean", nullable: false),
                    Ready = table.Column<bool>(type: "boolean", nullable: false),
                    Revision = table.Column<int>(type: "integer", nullable: false),
                    CrewId = table.Column<string>(type: "text", nullable: true),
                    CourseId = table.Column<string>(type: "text", nullable: true),
                    RequestKey = table.Column<string>(type: "text", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_outings", x => x.Id);
                    table.ForeignKey(
                        name: "FK_outings_courses_CourseId",
                        column: x => x.CourseId,
                        principalTable: "courses",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.SetNull);
                    table.ForeignKey(
                        name: "FK_outings_crews_CrewId",
                        column: x => x.CrewId,
                        principalTable: "crews",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.SetNull);
                });

            migrationBuilder.CreateTable(
                name: "seats",
                columns: table => new
                {
                    CrewId = table.Column<string>(type: "text", nullable: false),
                    Seat = table.Column<int>(type: "integer", nullable: false),
                    PersonId = table.Column<string>(type: "text", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_seats", x => new { x.CrewId, x.Seat });
                    table.ForeignKey(
                        name: "FK_seats_crews_CrewId",
                        column: x => x.CrewId,
                        principalTable: "crews",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Cascade);
                    table.ForeignKey(
                        name: "FK_seats_people_PersonId",
                        column: x => x.PersonId,
                        principalTable: "people",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "analyses",
                columns: table => new
                {
                    Id = table.Column<string>(type: "text", nullable: false),
                    OutingId = table.Column<string>(type: "text", nullable: false),
                    Number = table.Column<int>(type: "integer", nullable: false),
                    Engine = table.Column<string>(type: "text", nullable: false),
                    Revision = table.Column<int>(type: "integer", nullable: false),
                    MadeAt = table.Column<long>(type: "bigint", nullable: false),
                    Document = table.Column<byte[]>(type: "bytea", nullable: false),
                    Distance = table.Column<double>(type: "double precision", nullable: true),
                    Seconds = table.Column<double>(type: "double precision", nullable: true),
                    MeanRate = table.Column<double>(type: "double precision", nullable: true),
                    Place = table.Column<int>(type: "integer", nullable: true),
                    Crews = table.Column<int>(type: "integer", nullable: true),
                    Boat = table.Column<string>(type: "text", nullable: true),
                    Findings = table.Column<int>(type: "integer", nullable: false),
                    FirstFinding = table.Column<string>(type: "text", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_analyses", x => x.Id);
                    table.ForeignKey(
                        name: "FK_analyses_outings_OutingId",
                        column: x => x.OutingId,
                        principalTable: "outings",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "corrections",
                columns: table => new
                {
                    Id = table.Column<string>(type: "text", nullable: false),
                    OutingId = table.Column<string>(type: "text", nullable: false),
                    Number = table.Column<int>(type: "integer", nullable: false),
                    Kind = table.Column<string>(type: "text", nullable: false),
                    Body = table.Column<string>(type: "text", nullable: false),
                    Said = table.Column<string>(type: "text", nullable: false),
                    MadeAt = table.Column<long>(type: "bigint", nullable: false),
                    Undone = table.Column<bool>(type: "boolean", nullable: false),
                    RequestKey = table.Column<string>(type: "text", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_corrections", x => x.Id);
                    table.ForeignKey(
                        name: "FK_corrections_outings_OutingId",
                        column: x => x.OutingId,
                        principalTable: "outings",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "files",
                columns: table => new
                {
                    Id = table.Column<string>(type: "text", nullable: false),
                    OutingId = table.Column<string>(type: "text", nullable: false),
                    Name = table.Column<string>(type: "text", nullable: false),
                    Hash = table.Column<string>(type: "text", nullable: false),
                    Size = table.Column<long>(type: "bigint", nullable: false),
                    AddedAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_files", x => x.Id);
                    table.ForeignKey(
                        name: "FK_files_outings_OutingId",
                        column: x => x.OutingId,
                        principalTable: "outings",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "jobs",
                columns: table => new
                {
                    Id = table.Column<string>(type: "text", nullable: false),
                    OutingId = table.Column<string>(type: "text", nullable: false),
                    State = table.Column<string>(type: "text", nullable: false),
                    Progress = table.Column<double>(type: "double precision", nullable: false),
                    Message = table.Column<string>(type: "text", nullable: false),
                    QueuedAt = table.Column<long>(type: "bigint", nullable: false),
                    EndedAt = table.Column<long>(type: "bigint", nullable: true),
                    CancelWanted = table.Column<bool>(type: "boolean", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_jobs", x => x.Id);
                    table.ForeignKey(
                        name: "FK_jobs_outings_OutingId",
                        column: x => x.OutingId,
                        principalTable: "outings",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "next_plan",
                columns: table => new
                {
                    Id = table.Column<string>(type: "text", nullable: false),
                    OutingId = table.Column<string>(type: "text", nullable: false),
                    Form = table.Column<string>(type: "text", nullable: false),
                    Text = table.Column<string>(type: "text", nullable: false),
                    Source = table.Column<string>(type: "text", nullable: false),
                    AddedAt = table.Column<long>(type: "bigint", nullable: false),
                    Done = table.Column<bool>(type: "boolean", nullable: false),
                    RequestKey = table.Column<string>(type: "text", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_next_plan", x => x.Id);
                    table.ForeignKey(
                        name: "FK_next_plan_outings_OutingId",
                        column: x => x.OutingId,
                        principalTable: "outings",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateIndex(
                name: "IX_analyses_OutingId_Number",
                table: "analyses",
                columns: new[] { "OutingId", "Number" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_corrections_OutingId_Number",
                table: "corrections",
                columns: new[] { "OutingId", "Number" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_corrections_OutingId_RequestKey",
                table: "corrections",
                columns: new[] { "OutingId", "RequestKey" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_crews_HullId",
                table: "crews",
                column: "HullId");

            migrationBuilder.CreateIndex(
                name: "IX_files_Hash",
                table: "files",
                column: "Hash");

            migrationBuilder.CreateIndex(
                name: "IX_files_OutingId",
                table: "files",
                column: "OutingId");

            migrationBuilder.CreateIndex(
                name: "IX_jobs_OutingId",
                table: "jobs",
                column: "OutingId");

            migrationBuilder.CreateIndex(
                name: "IX_jobs_State_QueuedAt",
                table: "jobs",
                columns: new[] { "State", "QueuedAt" });

            migrationBuilder.CreateIndex(
                name: "IX_next_plan_OutingId",
                table: "next_plan",
                column: "OutingId");

            migrationBuilder.CreateIndex(
                name: "IX_next_plan_RequestKey",
                table: "next_plan",
                column: "RequestKey",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_outings_CourseId",
                table: "outings",
                column: "CourseId");

            migrationBuilder.CreateIndex(
                name: "IX_outings_CrewId",
                table: "outings",
                column: "CrewId");

            migrationBuilder.CreateIndex(
                name: "IX_outings_RequestKey",
                table: "outings",
                column: "RequestKey",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_seats_PersonId",
                table: "seats",
                column: "PersonId");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "analyses");

            migrationBuilder.DropTable(
                name: "corrections");

            migrationBuilder.DropTable(
                name: "files");

            migrationBuilder.DropTable(
                name: "jobs");

            migrationBuilder.DropTable(
                name: "next_plan");

            migrationBuilder.DropTable(
                name: "seats");

            migrationBuilder.DropTable(
                name: "settings");

            migrationBuilder.DropTable(
                name: "outings");

            migrationBuilder.DropTable(
                name: "people");

            migrationBuilder.DropTable(
                name: "courses");

            migrationBuilder.DropTable(
                name: "crews");

            migrationBuilder.DropTable(
                name: "hulls");
        }
    }
}
